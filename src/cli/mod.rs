//! The command line: the only part that touches files, clock and terminal.
//!
//! `args` is what was typed; each command below reads its job, calls the pipeline and hands texts to the terminal and
//! to `files`. The exit code is decided in [`run`] alone.

mod args;
mod buy;
mod disk;
mod estimate;
mod files;
mod guide;
mod manual;
mod marks;
mod measured;
mod page;
mod papers;
mod plan;
mod program;
mod quote;
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

use clap::Parser as _;

use crate::audit::Violation;
use crate::diag::{Diagnostic, Severity, code, render, safe_text, set_messages, summary};
use crate::job::{Job, Texts};
use crate::length::{Length, LengthError, Notation, Unit, parse};
use crate::load::schema::job_schema;
use crate::load::{Boards, load_job};
use crate::planfile::{self, Standing, Unreadable};
use crate::report::csv::{frames_csv, hardware_cuts_csv, sheets_csv};
use crate::report::json::sizes_json;
use crate::report::sections::sizes_sheet;
use crate::report::text::set;
use crate::report::verified::verified_text;

use args::{
    CheckArgs, Command, JobFile, Replace, SchemaOf, SizesArgs, SizesFormat, StarterArgs, Typed,
    VerifyArgs,
};
use disk::Disk;
use files::{Output, Over, WriteFault};
use screen::{Screen, color_on};

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

    /// The check has rejected a plan.
    fn rejected(violations: &[Violation]) -> Fault {
        Fault::Rejected(violations.iter().map(ToString::to_string).collect())
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
        Command::Plan(args) => plan::plan(&args, screen),
        Command::Papers(args) => papers::papers(&args),
        Command::Buy(args) => buy::buy(&args, screen),
        Command::Quote(args) => quote::quote(&args, screen),
        Command::Estimate(args) => estimate::estimate(&args, screen),
        Command::Sizes(args) => sizes(&args, screen),
        Command::Check(args) => check(&args),
        Command::Verify(args) => verify(&args),
        Command::Program(args) => program::write(&args),
        Command::Replan(args) => rest::replan(&args, screen),
        Command::Stow(args) => stow::stow(&args),
        Command::Page(args) => page::page(&args, screen),
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
        // Names of a job may be many, and long.
        Fault::Usage(what) => (set_messages(&format!("error: {what}")), 2),
        Fault::Write(fault) => {
            let text = format!("error: {fault}\nhint: {}\n", fault.hint());
            (set_messages(&text), 2)
        }
        Fault::PlanFile { path, what, hint } => (
            set_messages(&format!(
                "error: {}: {}\nhint: {}\n",
                disk::shown(path),
                safe_text(what),
                hint.map_or_else(|| way_to_plan(path), str::to_owned)
            )),
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

/// How a plan file is had that is not there, or is none.
fn way_to_plan(path: &Path) -> String {
    let plan = path.with_file_name("plan.json");
    let is_named = |name: &str| path.file_name().is_some_and(|own| own == name);
    let folder = path.parent().filter(|folder| *folder != Path::new(""));
    let folder = folder.unwrap_or(Path::new("."));
    let (shown, folder) = (disk::shown(&plan), disk::shown(folder));
    if is_named("rest.json") && !path.exists() && plan.is_file() {
        return format!(
            "nothing was planned anew there: give {shown}, or mark what is cut with \
             `longpoint replan JOB.toml {} --done A:1 --out {}`",
            typed(&shown),
            typed(&folder)
        );
    }
    if is_named("plan.json") && !path.exists() {
        return format!(
            "write it with `longpoint plan JOB.toml --out {}`",
            typed(&folder)
        );
    }
    "write one with `longpoint plan JOB.toml --out DIR`, as `DIR/plan.json`".to_owned()
}

/// A path as it is typed in a command.
fn typed(path: &str) -> String {
    if path.contains(char::is_whitespace) {
        format!("\"{path}\"")
    } else {
        path.to_owned()
    }
}

fn sizes(args: &SizesArgs, screen: Screen) -> Result<Ended, Fault> {
    let Input {
        job, files: inputs, ..
    } = read_planning_nothing(&args.job, Boards::NotNeeded)?;
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
    // Warnings are told apart, as with every command.
    print(&check_text(&args.job.path, Some(&job), &[]))?;
    Ok(Ended::Complete)
}

/// What is said of the files of a job: what is wrong or odd, and of a job without errors how much there is in it.
fn check_text(path: &Path, job: Option<&Job>, diagnostics: &[Diagnostic]) -> String {
    let mut text = String::new();
    if !diagnostics.is_empty() {
        text = format!("{}\n{}\n", render(diagnostics, false), summary(diagnostics));
    }
    let Some(job) = job else {
        return text;
    };
    let n_of = |is_held: bool| -> u64 {
        let frames = job.frames.iter().filter(|frame| frame.is_held() == is_held);
        frames.map(|frame| u64::from(frame.quantity)).sum()
    };
    let frames = n_of(false);
    let liners = match n_of(true) {
        0 => String::new(),
        liners => format!(", liners: {liners}"),
    };
    let pieces: u64 = job
        .pieces
        .iter()
        .map(|piece| u64::from(piece.quantity))
        .sum();
    let in_hand = job
        .boards
        .iter()
        .filter(|board| board.in_hand.is_some())
        .count();
    let lines_in_hand = match in_hand {
        0 => String::new(),
        lines => format!(", in hand: {lines}"),
    };
    let counts = format!(
        "{}: no errors; frames: {frames}{liners}, loose pieces: {pieces}, mouldings: {}, kinds of board: {}{lines_in_hand}\n",
        disk::shown(path),
        job.mouldings.len(),
        job.boards.len() - in_hand
    );
    text + &set_messages(&counts)
}

/// The same fault; where nothing is wrong but that parts fit no board, with the way out for a plan that was stowed: what it
/// took is off the rack.
fn perhaps_stowed(fault: Fault) -> Fault {
    let Fault::Input(found) = fault else {
        return fault;
    };
    let is_of_boards = |found: &Diagnostic| {
        found.severity != Severity::Error
            || [code::PART_TOO_LONG, code::NO_SUITABLE_BOARD].contains(&found.code)
    };
    if !found.iter().all(is_of_boards) {
        return Fault::Input(found);
    }
    let hint = "if the plan has been stowed, what it took is off the rack: `stow --undo` puts it back, and then the plan can \
                be verified";
    let last = found
        .iter()
        .rposition(|one| one.severity == Severity::Error);
    let told = found.into_iter().enumerate().map(|(at, one)| {
        if Some(at) != last {
            return one;
        }
        let known = one.hint.clone();
        let hint = known.map_or_else(|| hint.to_owned(), |known| format!("{known}; or, {hint}"));
        one.with_hint(hint)
    });
    Fault::Input(told.collect())
}

fn verify(args: &VerifyArgs) -> Result<Ended, Fault> {
    disk::check_one_input(&[&args.job.path, &args.plan]).map_err(Fault::Usage)?;
    let Input { job, .. } =
        read_planning_nothing(&args.job, Boards::Needed).map_err(perhaps_stowed)?;
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
        Standing::RackHasChanged | Standing::Fails => Ended::Incomplete,
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
        Output {
            name: "hardware-cuts.csv",
            text: hardware_cuts_csv(job),
        },
    ]
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
    read_warning(file, boards, warn)
}

/// The same for a command that plans nothing.
fn read_planning_nothing(file: &JobFile, boards: Boards) -> Result<Input, Fault> {
    read_warning(file, boards, warn_planning_nothing)
}

fn read_warning(
    file: &JobFile,
    boards: Boards,
    warn: impl Fn(&[Diagnostic]),
) -> Result<Input, Fault> {
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
        let text = set_messages(&text);
        let _ = io::stderr().write_all(text.as_bytes());
    }
    Ok(())
}

/// A length as it was typed, with bare numbers of this unit.
fn typed_length(text: &str, unit: Unit) -> Result<Length, LengthError> {
    let notation = Notation {
        unit,
        decimal_comma: false,
    };
    parse(text, notation)
}

/// Prints warnings, if there are any.
fn warn(warnings: &[Diagnostic]) {
    if !warnings.is_empty() {
        let drawn = render(warnings, color_on(&io::stderr()));
        // A warning that cannot be shown must not keep the plan back.
        let _ = io::stderr().write_all(format!("{drawn}\n").as_bytes());
    }
}

/// The same where nothing is planned: that the job's own pieces lie on the rack is then as it should be.
fn warn_planning_nothing(warnings: &[Diagnostic]) {
    let told = warnings.iter().filter(|it| it.code != code::LEFT_BY_ITSELF);
    warn(&told.cloned().collect::<Vec<_>>());
}

fn print(text: &str) -> io::Result<()> {
    let mut out = io::stdout().lock();
    out.write_all(text.as_bytes())?;
    out.flush()
}
