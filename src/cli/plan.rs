//! The command `plan`.

use std::time::Instant;

use crate::compare::{Exchange, Steer, find_exchanges, plan_way};
use crate::diag::quoted;
use crate::job::{Job, Way};
use crate::load::{Boards, did_you_mean};
use crate::paper::Papers;
use crate::pipeline::Planned;
use crate::planfile::{PlanFile, is_carried_on};
use crate::report::csv::{
    buying_list_csv, cut_list_csv, missing_csv, not_used_csv, offcuts_csv, rack_csv, rails_csv,
    resaw_list_csv, rip_list_csv, sheet_cuts_csv, sheet_rack_csv, sheets_to_buy_csv,
    wood_balance_csv,
};
use crate::report::pocket::{Purchase, pocket_text};
use crate::report::sections::{order_sheet, plan_sheet, stations_sheet};
use crate::report::text::set;
use crate::report::way_words::{find_way, gone_name};
use crate::solve::Control;
use crate::tally::{Idle, Summary, balances};

use super::args::{PlanArgs, PlanFormat};
use super::files::Output;
use super::rest::check_rest;
use super::screen::Screen;
use super::watch::Watch;
use super::{Ended, Fault, Input, papers, print, read, size_tables, write};

/// Runs the command.
pub(super) fn plan(args: &PlanArgs, screen: Screen) -> Result<Ended, Fault> {
    let started = Instant::now();
    let Input {
        job,
        texts,
        files: inputs,
    } = read(&args.job, Boards::Needed)?;
    let job = args.vehicle.limit(job)?;
    let way = args.way.as_deref();
    let watch = Watch::start(&job, started, args.limit.time, args.out.as_deref());
    let stop = || watch.stop();
    let progress = |progress| watch.tell(progress);
    let control = Control {
        stop: &stop,
        progress: &progress,
    };
    let is_asked = args.format == PlanFormat::Pocket || args.out.is_some();
    let found = planned_way(&job, way, &control).and_then(|planned| {
        let exchanges = if is_asked {
            find_exchanges(planned.aside.to_buy(&planned.plan), &steer(&stop))
                .map_err(|violations| Fault::rejected(&violations))?
        } else {
            Vec::new()
        };
        Ok((planned, exchanges))
    });
    watch.end();
    let (planned, exchanges) = found?;
    let plan = &planned.plan;
    let counted = Summary::new(plan)
        .beside(planned.aside.clone())
        .with_sheets(planned.materials.clone());
    let file = || PlanFile::of(&planned).from_files(&texts).text();
    let pocket = || pocket(&planned, &exchanges);
    let sheet = || {
        let without = args.without.iter().flat_map(|section| section.headings());
        plan_sheet(&counted).without(&without.copied().collect::<Vec<_>>())
    };
    if let Some(dir) = &args.out {
        let file = file();
        check_rest(dir, |rest| is_carried_on(&file, rest))?;
        let text = set(&sheet(), screen.file_look());
        let outputs = outputs(&planned, &exchanges, text, file);
        write(dir, &outputs, &inputs, args.replace)?;
    }
    print(&match args.format {
        PlanFormat::Text => set(&sheet(), screen.look(args.look.width)),
        PlanFormat::Stops => set(&order_sheet(plan), screen.look(args.look.width)),
        PlanFormat::Stations => set(&stations_sheet(&counted), screen.look(args.look.width)),
        PlanFormat::Pocket => pocket(),
        PlanFormat::Json => file(),
    })?;
    let has_sheets = planned
        .materials
        .iter()
        .all(|material| material.missing.is_empty());
    Ok(if plan.missing.is_empty() && has_sheets {
        Ended::Complete
    } else {
        Ended::Incomplete
    })
}

/// The plan of the job in the way of buying that was typed.
pub(super) fn planned_way(
    job: &Job,
    typed: Option<&str>,
    control: &Control<'_>,
) -> Result<Planned, Fault> {
    let way = typed.map(|way| typed_way(job, way)).transpose()?;
    let way = way.unwrap_or(Way::BestMix);
    let planned =
        plan_way(job, &way, control).map_err(|violations| Fault::rejected(&violations))?;
    planned.ok_or_else(|| {
        Fault::Usage(format!(
            "no choice of boards was found that goes {} and cuts all parts",
            quoted(typed.unwrap_or_default())
        ))
    })
}

/// For a search whose progress nobody watches.
pub(super) fn steer(stop: &(dyn Fn() -> bool + Sync)) -> Steer<'_> {
    Steer {
        stop,
        progress: &|_, _| {},
    }
}

/// The list to buy by for a pocket.
fn pocket(planned: &Planned, exchanges: &[Exchange]) -> String {
    let plan = planned.aside.to_buy(&planned.plan);
    let way = gone_name(&plan.job);
    let what = match (&way, &planned.aside.beyond_bought) {
        (Some(way), _) => Purchase::Way(way),
        (None, Some(_)) => Purchase::Still,
        (None, None) => Purchase::All,
    };
    pocket_text(plan, what, exchanges, &planned.materials)
}

/// The way of buying that was typed.
fn typed_way(job: &Job, typed: &str) -> Result<Way, Fault> {
    find_way(job, typed).map_err(|names| {
        let names: Vec<&str> = names.iter().map(String::as_str).collect();
        let all: Vec<String> = names.iter().map(|name| quoted(name)).collect();
        let meant = did_you_mean(typed, names.iter().copied());
        let meant = meant.map_or_else(String::new, |meant| format!("hint: {meant}\n"));
        Fault::Usage(format!(
            "the job has no way of buying {}\n{meant}hint: its ways are {}",
            quoted(typed),
            all.join(", ")
        ))
    })
}

/// All that is written of a plan, its text and its file among it.
pub(super) fn outputs(
    planned: &Planned,
    exchanges: &[Exchange],
    text: String,
    file: String,
) -> Vec<Output> {
    let counted = &Summary::new(&planned.plan)
        .beside(planned.aside.clone())
        .with_sheets(planned.materials.clone());
    let plan = &planned.plan;
    let job = &plan.job;
    let mut outputs = vec![
        Output {
            name: "plan.txt",
            text,
        },
        Output {
            name: "plan.json",
            text: file,
        },
        Output {
            name: "resaw-list.csv",
            text: resaw_list_csv(plan, counted),
        },
        Output {
            name: "rip-list.csv",
            text: rip_list_csv(plan, counted),
        },
        Output {
            name: "cut-list.csv",
            text: cut_list_csv(plan),
        },
        Output {
            name: "rails.csv",
            text: rails_csv(plan),
        },
        Output {
            name: "offcuts.csv",
            text: offcuts_csv(plan),
        },
        Output {
            name: "rack.csv",
            text: rack_csv(plan),
        },
        Output {
            name: "not-used.csv",
            text: not_used_csv(plan),
        },
        Output {
            name: "missing.csv",
            text: missing_csv(job, plan.missing.iter().copied()),
        },
        Output {
            name: "wood-balance.csv",
            text: wood_balance_csv(job, &balances(plan, &Idle::new())),
        },
    ];
    let materials = &planned.materials;
    outputs.extend([
        Output {
            name: "sheet-cuts.csv",
            text: sheet_cuts_csv(job, materials),
        },
        Output {
            name: "sheets-to-buy.csv",
            text: sheets_to_buy_csv(job, materials),
        },
        Output {
            name: "sheet-rack.csv",
            text: sheet_rack_csv(job, materials),
        },
    ]);
    // Once it is filled in it is what the job says was bought, and then there is nothing more to buy.
    if job.buying.purchase.is_none() {
        outputs.push(Output {
            name: "buying-list.csv",
            text: buying_list_csv(plan),
        });
    }
    outputs.push(Output {
        name: "pocket.txt",
        text: pocket(planned, exchanges),
    });
    outputs.extend(size_tables(job));
    outputs.extend(papers::outputs(&Papers::new(counted, exchanges)));
    outputs
}
