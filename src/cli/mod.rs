//! The command line: the only part that touches files, clock and terminal.
//!
//! `args` is what was typed; each command below reads its job, calls the pipeline and hands texts to the terminal and
//! to `files`. The exit code is decided in [`run`] alone.

mod args;
mod buy;
mod disk;
mod files;
mod guide;
mod manual;
mod marks;
mod measured;
mod rest;
mod screen;
mod starter;
mod stow;
mod vehicle;
mod watch;

use std::ffi::OsString;
use std::io::{self, Write as _};
use std::path::{Path, PathBuf};
use std::process::ExitCode;
use std::time::Instant;

use clap::Parser as _;

use crate::audit::Violation;
use crate::compare::{Steer, find_exchanges, plan_way};
use crate::diag::{Diagnostic, quoted, render, safe_text, summary};
use crate::job::{Job, Texts, Way};
use crate::load::schema::job_schema;
use crate::load::{Boards, did_you_mean, load_job};
use crate::pipeline::Planned;
use crate::plan::Plan;
use crate::planfile::{self, PlanFile, Standing, Unreadable};
use crate::report::csv::{
    buying_list_csv, cut_list_csv, frames_csv, missing_csv, not_used_csv, offcuts_csv, rack_csv,
    rails_csv, rip_list_csv, sheets_csv, wood_balance_csv,
};
use crate::report::json::sizes_json;
use crate::report::pocket::pocket_text;
use crate::report::sections::{plan_sheet, sizes_sheet};
use crate::report::text::set;
use crate::report::verified::verified_text;
use crate::report::way_words::{find_way, gone_name};
use crate::solve::Control;
use crate::tally::{Idle, Summary, balances};

use args::{
    CheckArgs, Command, JobFile, PlanArgs, PlanFormat, Replace, SchemaOf, SizesArgs, SizesFormat,
    StarterArgs, Typed, VerifyArgs,
};
use disk::Disk;
use files::{Output, Over, WriteFault};
use screen::{Screen, color_on};
use watch::Watch;

/// How a command ended, when it did its work.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Ended {
    /// All there.
    Complete,
    /// Some parts could not be planned, or a check did not hold.
    Incomplete,
    /// A plan holds, but its certificate does not prove all that the search says of it.
    OnTrust,
}

/// Why a command did not do its work.
enum Fault {
    /// What is wrong with the job, already complete and sorted.
    Input(Vec<Diagnostic>),
    /// An argument does not fit the job; in words in which what was typed is quoted.
    Usage(String),
    /// Files could not be written.
    Write(WriteFault),
    /// A plan file cannot be read.
    PlanFile {
        /// The file.
        path: PathBuf,
        /// What is wrong with it.
        what: String,
        /// A way out, where it is not to write another.
        hint: Option<&'static str>,
    },
    /// The terminal or pipe took no more.
    Print(io::Error),
    /// The independent check rejected a plan: an internal error.
    Rejected(Vec<String>),
}

impl Fault {
    /// A file that is no plan file of this program.
    fn unreadable(path: &Path, unreadable: &Unreadable) -> Fault {
        Fault::PlanFile {
            path: path.to_path_buf(),
            what: unreadable.to_string(),
            hint: Some(unreadable.hint()),
        }
    }
}

impl From<WriteFault> for Fault {
    fn from(fault: WriteFault) -> Fault {
        Fault::Write(fault)
    }
}

impl From<io::Error> for Fault {
    fn from(error: io::Error) -> Fault {
        Fault::Print(error)
    }
}

/// Runs the command given by `args` (the program's name first) and tells how it ended.
pub fn run(args: impl IntoIterator<Item = OsString>) -> ExitCode {
    let args: Vec<OsString> = args.into_iter().collect();
    let typed = match Typed::try_parse_from(&args) {
        Ok(typed) => typed,
        Err(error) => {
            // The same error of the same words, without what would steer the terminal.
            let shown = args
                .iter()
                .map(|arg| safe_text(&arg.to_string_lossy()).into_owned());
            let error = Typed::try_parse_from(shown).err().unwrap_or(error);
            // Help and version are no errors; what cannot be printed cannot be helped.
            let _ = error.print();
            return ExitCode::from(if error.use_stderr() { 2 } else { 0 });
        }
    };
    let screen = Screen::new(typed.screen);
    let ended = match typed.command {
        Command::Plan(args) => plan(&args, screen),
        Command::Buy(args) => buy::buy(&args, screen),
        Command::Sizes(args) => sizes(&args, screen),
        Command::Check(args) => check(&args),
        Command::Verify(args) => verify(&args),
        Command::Replan(args) => rest::replan(&args, screen),
        Command::Stow(args) => stow::stow(&args),
        Command::Starter(args) => starter(&args),
        Command::Help(args) => guide::help(&args, screen),
        Command::Completions(args) => manual::completions(&args),
        Command::Man(args) => manual::man(&args),
        Command::Schema(args) => schema(args.of),
    };
    match ended {
        Ok(Ended::Complete) => ExitCode::SUCCESS,
        Ok(Ended::Incomplete) => ExitCode::from(1),
        Ok(Ended::OnTrust) => ExitCode::from(4),
        // Whoever reads our output has seen enough, as `head` does.
        Err(Fault::Print(error)) if error.kind() == io::ErrorKind::BrokenPipe => ExitCode::SUCCESS,
        Err(fault) => {
            let (text, code) = explain(&fault);
            let _ = io::stderr().write_all(text.as_bytes());
            ExitCode::from(code)
        }
    }
}

/// The words and the exit code for what went wrong.
fn explain(fault: &Fault) -> (String, u8) {
    match fault {
        Fault::Input(diagnostics) => {
            let drawn = render(diagnostics, color_on(&io::stderr()));
            (format!("{drawn}\n{}\n", summary(diagnostics)), 2)
        }
        Fault::Usage(what) => (format!("error: {what}\n"), 2),
        Fault::Write(fault) => (format!("error: {fault}\nhint: {}\n", fault.hint()), 2),
        Fault::PlanFile { path, what, hint } => (
            format!(
                "error: {}: {}\nhint: {}\n",
                disk::shown(path),
                safe_text(what),
                hint.unwrap_or("write one with `longpoint plan JOB.toml --format json`")
            ),
            2,
        ),
        Fault::Print(error) => (format!("error: cannot print the report: {error}\n"), 2),
        Fault::Rejected(violations) => (
            format!(
                "internal error: the check rejected the plan, so it is not shown\n  {}\n\
                 hint: longpoint is wrong here, not the job; please report it with the job's files\n",
                violations
                    .iter()
                    .map(|violation| safe_text(violation))
                    .collect::<Vec<_>>()
                    .join("\n  ")
            ),
            3,
        ),
    }
}

fn plan(args: &PlanArgs, screen: Screen) -> Result<Ended, Fault> {
    let started = Instant::now();
    let Input {
        job,
        texts,
        files: inputs,
    } = read(&args.job, Boards::Needed)?;
    let job = args.vehicle.limit(job)?;
    let way = args.way.as_deref().map(|way| typed_way(&job, way));
    let way = way.transpose()?.unwrap_or(Way::BestMix);
    let watch = Watch::start(&job, started, args.limit.time, args.out.as_deref());
    let stop = || watch.stop();
    let progress = |progress| watch.tell(progress);
    let control = Control {
        stop: &stop,
        progress: &progress,
    };
    let is_asked = args.format == PlanFormat::Pocket || args.out.is_some();
    let found = plan_way(&job, &way, &control).and_then(|planned| {
        let pocket = match &planned {
            Some(planned) if is_asked => pocket(&planned.plan, &stop)?,
            _ => String::new(),
        };
        Ok((planned, pocket))
    });
    watch.end();
    let (planned, pocket) = found.map_err(|violations| {
        Fault::Rejected(violations.iter().map(ToString::to_string).collect())
    })?;
    let planned = planned.ok_or_else(|| {
        let way = args.way.as_deref().unwrap_or_default();
        Fault::Usage(format!(
            "no choice of boards was found that goes {} and cuts all parts",
            quoted(way)
        ))
    })?;
    let plan = &planned.plan;
    let counted = Summary::new(plan).beside(planned.aside.clone());
    if let Some(dir) = &args.out {
        let outputs = plan_outputs(&planned, &texts, &counted, &pocket, screen);
        let text = PlanFile::of(&planned).from_files(&texts).text();
        rest::check_rest(dir, |rest| planfile::is_carried_on(&text, rest))?;
        write(dir, &outputs, &inputs, args.replace)?;
    }
    print(&match args.format {
        PlanFormat::Text => set(&plan_sheet(&counted), screen.look(args.look.width)),
        PlanFormat::Pocket => pocket,
        PlanFormat::Json => PlanFile::of(&planned).from_files(&texts).text(),
    })?;
    Ok(if plan.missing.is_empty() {
        Ended::Complete
    } else {
        Ended::Incomplete
    })
}

/// The list to buy by for a pocket.
fn pocket(plan: &Plan, stop: &(dyn Fn() -> bool + Sync)) -> Result<String, Vec<Violation>> {
    let steer = Steer {
        stop,
        progress: &|_, _| {},
    };
    let way = gone_name(&plan.job).unwrap_or_else(|| "To buy".to_owned());
    Ok(pocket_text(plan, &way, &find_exchanges(plan, &steer)?))
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

fn sizes(args: &SizesArgs, screen: Screen) -> Result<Ended, Fault> {
    let Input {
        job, files: inputs, ..
    } = read(&args.job, Boards::NotNeeded)?;
    if let Some(dir) = &args.out {
        let mut outputs = size_tables(&job);
        outputs.push(Output {
            name: "sizes.txt",
            text: set(&sizes_sheet(&job), screen.file_look()),
        });
        write(dir, &outputs, &inputs, args.replace)?;
    }
    print(&match args.format {
        SizesFormat::Text => set(&sizes_sheet(&job), screen.look(args.look.width)),
        SizesFormat::Csv => frames_csv(&job),
        SizesFormat::Json => sizes_json(&job),
    })?;
    Ok(Ended::Complete)
}

fn check(args: &CheckArgs) -> Result<Ended, Fault> {
    let Input { job, .. } = read(&args.job, Boards::Needed)?;
    let frames: u64 = job
        .frames
        .iter()
        .map(|frame| u64::from(frame.quantity))
        .sum();
    let pieces: u64 = job
        .pieces
        .iter()
        .map(|piece| u64::from(piece.quantity))
        .sum();
    print(&format!(
        "{}: no errors; frames: {frames}, loose pieces: {pieces}, mouldings: {}, kinds of board: {}\n",
        disk::shown(&args.job.path),
        job.mouldings.len(),
        job.boards.len()
    ))?;
    Ok(Ended::Complete)
}

fn verify(args: &VerifyArgs) -> Result<Ended, Fault> {
    disk::check_one_input(&[&args.job.path, &args.plan]).map_err(Fault::Usage)?;
    let Input { job, .. } = read(&args.job, Boards::Needed)?;
    let fault = |what: String| Fault::PlanFile {
        path: args.plan.clone(),
        what,
        hint: None,
    };
    let text = disk::read_text(&args.plan).map_err(fault)?;
    let verified = planfile::verify(&job, &text)
        .map_err(|unreadable| Fault::unreadable(&args.plan, &unreadable))?;
    print(&verified_text(&job, &verified))?;
    Ok(match verified.standing() {
        Standing::Holds => Ended::Complete,
        Standing::OnTrust => Ended::OnTrust,
        Standing::Fails => Ended::Incomplete,
    })
}

fn starter(args: &StarterArgs) -> Result<Ended, Fault> {
    files::write_new(&args.dir, &starter::outputs())?;
    let job = args.dir.join("job.toml");
    print(&format!(
        "wrote a starter job into {}\nnext: longpoint plan {}\n",
        disk::shown(&args.dir),
        disk::shown(&job)
    ))?;
    Ok(Ended::Complete)
}

/// Prints the schema of a file.
fn schema(of: SchemaOf) -> Result<Ended, Fault> {
    print(&match of {
        SchemaOf::Job => format!("{:#}\n", job_schema()),
        SchemaOf::Plan => planfile::plan_schema(),
        SchemaOf::Rest => planfile::bench_schema(),
    })?;
    Ok(Ended::Complete)
}

/// The tables that need no plan.
fn size_tables(job: &Job) -> Vec<Output> {
    vec![
        Output {
            name: "frame-sizes.csv",
            text: frames_csv(job),
        },
        Output {
            name: "sheets.csv",
            text: sheets_csv(job),
        },
    ]
}

/// All that is written of a plan.
fn plan_outputs(
    planned: &Planned,
    texts: &Texts,
    counted: &Summary,
    pocket: &str,
    screen: Screen,
) -> Vec<Output> {
    let plan = &planned.plan;
    let job = &plan.job;
    let mut outputs = vec![
        Output {
            name: "plan.txt",
            text: set(&plan_sheet(counted), screen.file_look()),
        },
        Output {
            name: "plan.json",
            text: PlanFile::of(planned).from_files(texts).text(),
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
    // Once it is filled in it is what the job says was bought, and then there is nothing more to buy.
    if job.buying.purchase.is_none() {
        outputs.push(Output {
            name: "buying-list.csv",
            text: buying_list_csv(plan),
        });
        outputs.push(Output {
            name: "pocket.txt",
            text: pocket.to_owned(),
        });
    }
    outputs.extend(size_tables(job));
    outputs
}

/// A job with the files it was read from.
struct Input {
    job: Job,
    /// Their texts.
    texts: Texts,
    /// Their paths, so that none of them is written over.
    files: Vec<PathBuf>,
}

/// Reads a job, and prints its warnings.
fn read(file: &JobFile, boards: Boards) -> Result<Input, Fault> {
    let disk = Disk::new(&file.path).anywhere(file.tables_anywhere);
    let (job, warnings) = load_job(&file.path, &disk, boards).map_err(Fault::Input)?;
    warn(&warnings);
    Ok(Input {
        job,
        texts: disk.texts(),
        files: disk.into_read(),
    })
}

/// Writes all that a command gives into a folder, and says as what it kept files that were not its own.
fn write(
    dir: &Path,
    outputs: &[Output],
    inputs: &[PathBuf],
    replace: Replace,
) -> Result<(), Fault> {
    write_on(dir, outputs, inputs, &[], replace)
}

/// The same, also over files that were read, of which what is written knows all.
fn write_on(
    dir: &Path,
    outputs: &[Output],
    inputs: &[PathBuf],
    carried: &[PathBuf],
    replace: Replace,
) -> Result<(), Fault> {
    let over = if replace.replace {
        Over::All
    } else {
        Over::Own
    };
    let kept = files::write_on(dir, outputs, inputs, carried, over)?;
    if !kept.is_empty() {
        let text = format!("note: kept what lay there as {}\n", files::listed(&kept));
        let _ = io::stderr().write_all(text.as_bytes());
    }
    Ok(())
}

/// Prints warnings, if there are any.
fn warn(warnings: &[Diagnostic]) {
    if !warnings.is_empty() {
        let drawn = render(warnings, color_on(&io::stderr()));
        // A warning that cannot be shown must not keep the plan back.
        let _ = io::stderr().write_all(format!("{drawn}\n").as_bytes());
    }
}

fn print(text: &str) -> io::Result<()> {
    let mut out = io::stdout().lock();
    out.write_all(text.as_bytes())?;
    out.flush()
}
