//! The command `estimate`: a price list by size, for which nothing is planned.

use std::collections::{BTreeMap, BTreeSet};
use std::path::{Path, PathBuf};

use crate::diag::Diagnostics;
use crate::job::{AskedSize, Job, PriceRules, Serves};
use crate::length::Unit;
use crate::load::{Boards, read_size_list};
use crate::money::Percent;
use crate::paper::quote_page;
use crate::plan::{Part, Plan};
use crate::planfile::read_past;
use crate::quote::{
    CannotEstimate, Estimate, Past, WasteOf, Wastes, estimate as reckon, usual_inch_sizes,
    usual_metric_sizes,
};
use crate::replan::Bench;
use crate::report::csv::{estimate_csv, estimated_costs_csv};
use crate::report::sections::{estimate_sheet, estimated_costs_sheet};
use crate::report::text::{Look, set};

use super::args::{EstimateArgs, EstimateFormat, QuoteFor};
use super::disk::{self, Disk};
use super::files::Output;
use super::screen::Screen;
use super::{Ended, Fault, Input, print, read, warn, write};

/// Rows of an estimate; a longer list is not read line by line.
const MOST_FRAMES: usize = 20_000;

/// Runs the command.
pub(super) fn estimate(args: &EstimateArgs, screen: Screen) -> Result<Ended, Fault> {
    let mut typed = vec![args.job.path.as_path()];
    typed.extend(args.past.iter().map(PathBuf::as_path));
    disk::check_one_input(&typed).map_err(Fault::Usage)?;
    let Input {
        job,
        files: mut inputs,
        ..
    } = read(&args.job, Boards::Needed)?;
    if job.prices == PriceRules::default() {
        return Err(Fault::Usage(
            "the job says nothing of prices, so all that could be asked is what it costs\n\
             hint: say what the shop asks in a table `[price]`; see `longpoint help quote`"
                .to_owned(),
        ));
    }
    let sizes = sizes(args.sizes.as_deref(), &job)?;
    let mouldings = job.mouldings.iter();
    let each_way = mouldings.flat_map(|moulding| [(moulding, false), (moulding, true)]);
    let n_frames: usize = each_way
        .map(|(moulding, has_mat)| {
            let of_it = sizes.iter().filter(|size| size.is_of(moulding, has_mat));
            of_it.count()
        })
        .sum();
    if n_frames > MOST_FRAMES {
        return Err(Fault::Usage(format!(
            "{} sizes come to more than {MOST_FRAMES} frames\n\
             hint: give fewer sizes, or name their mouldings in the table",
            sizes.len()
        )));
    }
    let wastes = wastes(&args.past, args.waste)?;
    let estimate = reckon(&job, &sizes, &wastes).map_err(cannot)?;
    if let Some(dir) = &args.out {
        inputs.extend(args.past.iter().cloned());
        inputs.extend(args.sizes.iter().cloned());
        let mut outputs = for_customers(&job, &estimate, screen.file_look());
        outputs.push(Output {
            name: "estimate.html",
            text: quote_page(&job, &estimate_sheet(&job, &estimate)),
        });
        outputs.extend(for_shop(&job, &estimate, screen.file_look()));
        write(dir, &outputs, &inputs, args.replace)?;
    }
    let look = screen.look(args.look.width);
    let mut outputs = match args.sheet {
        QuoteFor::Customer => for_customers(&job, &estimate, look),
        QuoteFor::Shop => for_shop(&job, &estimate, look),
    };
    let shown = match args.format {
        EstimateFormat::Text => 0,
        EstimateFormat::Csv => 1,
    };
    print(&outputs.swap_remove(shown).text)?;
    Ok(if estimate.frames.iter().all(|of| of.found.is_ok()) {
        Ended::Complete
    } else {
        Ended::Incomplete
    })
}

/// Text and table without costs.
fn for_customers(job: &Job, estimate: &Estimate, look: Look) -> Vec<Output> {
    vec![
        Output {
            name: "estimate.txt",
            text: set(&estimate_sheet(job, estimate), look),
        },
        Output {
            name: "estimate.csv",
            text: estimate_csv(job, estimate),
        },
    ]
}

/// Text and table with all costs.
fn for_shop(job: &Job, estimate: &Estimate, look: Look) -> Vec<Output> {
    vec![
        Output {
            name: "estimate-costs.txt",
            text: set(&estimated_costs_sheet(job, estimate), look),
        },
        Output {
            name: "estimate-costs.csv",
            text: estimated_costs_csv(job, estimate),
        },
    ]
}

/// The sizes that are asked for.
fn sizes(typed: Option<&Path>, job: &Job) -> Result<Vec<AskedSize>, Fault> {
    let usual = |is_inch: bool| {
        if is_inch {
            usual_inch_sizes()
        } else {
            usual_metric_sizes()
        }
    };
    let Some(path) = typed else {
        let unit = job.display.unit;
        return Ok(usual(matches!(unit, Unit::Inch | Unit::Foot)));
    };
    match path.to_str() {
        Some("inch") => return Ok(usual(true)),
        Some("metric") => return Ok(usual(false)),
        _ => {}
    }
    let mut faults = Diagnostics::default();
    let sizes = read_size_list(path, &Disk::new(path), job, &mut faults);
    let has_errors = faults.n_errors() > 0;
    let told = faults.into_sorted();
    if has_errors {
        return Err(Fault::Input(told));
    }
    warn(&told);
    if sizes.is_empty() {
        return Err(Fault::Usage(format!(
            "{} has no size in it\nhint: fill in `width` and `height` of the art, a row for each size",
            disk::shown(path)
        )));
    }
    Ok(sizes)
}

/// What past plans have wasted, and what is stated.
fn wastes(past: &[PathBuf], stated: Option<Percent>) -> Result<Wastes, Fault> {
    let mut benches: Vec<(&PathBuf, Bench)> = Vec::new();
    for path in past {
        let text = disk::read_text(path).map_err(|what| past_fault(path, what))?;
        let bench = read_bench(path, &text)?;
        // What was cut later of a plan has it as its first sheet.
        let is_same = |known: &Bench| known.sheets()[0].plan == bench.sheets()[0].plan;
        if let Some((twin, _)) = benches.iter().find(|(_, known)| is_same(known)) {
            return Err(Fault::Usage(format!(
                "{} is the same plan as {}, and its waste would count twice\nhint: name each past plan once",
                disk::shown(path),
                disk::shown(twin)
            )));
        }
        benches.push((path, bench));
    }
    let benches: Vec<Bench> = benches.into_iter().map(|(_, bench)| bench).collect();
    let totals = benches
        .iter()
        .map(|bench| -> (Plan, BTreeMap<Part, Option<usize>>) {
            if bench.rounds().is_empty() {
                (bench.last().plan.clone(), BTreeMap::new())
            } else {
                let total = bench.total();
                (total.plan, total.idle)
            }
        });
    let totals: Vec<_> = totals.collect();
    let past = benches
        .iter()
        .zip(&totals)
        .map(|(bench, (plan, idle))| Past {
            plan,
            idle,
            // Glass and board are cut as the first sheet has them.
            materials: &bench.sheets()[0].materials,
            of_sheets: &bench.sheets()[0].plan.job,
        });
    Ok(Wastes::measure(&past.collect::<Vec<_>>(), stated))
}

fn past_fault(path: &Path, what: String) -> Fault {
    Fault::PlanFile {
        path: path.to_path_buf(),
        what,
        hint: None,
    }
}

fn read_bench(path: &Path, text: &str) -> Result<Bench, Fault> {
    let bench = read_past(text).map_err(|unreadable| Fault::unreadable(path, &unreadable))?;
    bench.ok_or_else(|| {
        past_fault(
            path,
            "it carries no files of a job, or is no plan of the job whose files it carries"
                .to_owned(),
        )
    })
}

/// Why nothing can be estimated, in words.
fn cannot(why: CannotEstimate) -> Fault {
    Fault::Usage(match why {
        CannotEstimate::TooLarge => "the prices of this job are too large to be reckoned with\n\
             hint: look for a slip in the amounts, percentages and quantities of the job"
            .to_owned(),
        CannotEstimate::NoFrame => "the job has no frame that others could be made like\n\
             hint: give it one frame of each moulding, with its glazing, backing and mat"
            .to_owned(),
        CannotEstimate::NoWaste(of) => format!(
            "nothing tells how much is wasted of {}\n\
             hint: name plans that were cut (`--past plan.json`), or say it (`--waste \"20 %\"`)",
            listed(&of)
        ),
    })
}

fn listed(of: &BTreeSet<WasteOf>) -> String {
    let words = of.iter().map(|of| match of {
        WasteOf::Boards | WasteOf::RippedBoards => "boards",
        WasteOf::Sheets(Serves::Mat) => "mat board",
        WasteOf::Sheets(Serves::Glazing) => "glazing",
        WasteOf::Sheets(Serves::Backing) => "backing",
        WasteOf::Sheets(Serves::DustCover) => "dust covers",
    });
    let mut words: Vec<&str> = words.collect();
    words.dedup();
    words.join(", ")
}
