//! The command line as it is typed.

mod values;

use std::path::PathBuf;
use std::time::Duration;

use clap::{Args, Parser, Subcommand};

use super::vehicle::Vehicle;
use crate::money::Percent;
pub(super) use values::{
    BuyFormat, ColorWhen, Drawing, EstimateFormat, PlanFormat, QuoteFor, QuoteFormat, SchemaOf,
    Section, SizesFormat,
};
use values::{folder, seconds, waste};

/// What `--help` says after the list of commands.
const AFTER_HELP: &str = "\
First steps:
  longpoint starter my-show            write a commented job to fill in
  longpoint check my-show/job.toml     read it, report every error at once
  longpoint sizes my-show/job.toml     work out the sizes; needs no boards
  longpoint buy my-show/job.toml       which boards to fetch: lengths compared
  longpoint plan my-show/job.toml      which boards, and where every rail falls

`longpoint help` lists topics that explain more, such as boards, rip, grain or errors.

Exit codes: 0 all is planned; 1 something is missing or did not hold;
2 invalid input or usage; 3 internal error; 4 the plan holds, but how good it is
rests in part on the word of the search.";

/// Sizes picture frames and plans, with a proof, which boards to take and where every rail falls.
#[derive(Debug, Parser)]
#[command(name = "longpoint", version, about, after_help = AFTER_HELP, arg_required_else_help = true)]
#[command(max_term_width = 80, disable_help_subcommand = true)]
pub(super) struct Typed {
    /// How the terminal is to be used, whatever the command.
    #[command(flatten)]
    pub(super) screen: ScreenArgs,
    /// What to do.
    #[command(subcommand)]
    pub(super) command: Command,
}

/// The commands.
#[derive(Debug, Subcommand)]
pub(super) enum Command {
    /// Plan the boards: what to take, and every cut at its place
    ///
    /// Reads the job, works out every frame, solves the cutting and proves how good the answer is, checks the plan by
    /// independent code, and prints it. With --out it also writes the plan as text, JSON and CSV tables.
    Plan(PlanArgs),
    /// Write the papers for the bench: settings, drawings of boards and frames, labels
    ///
    /// Plans the job as `plan` does, or takes the plan of a file, and makes one page of HTML that can be read on a tablet and
    /// printed chapter by chapter. Without --out the page is printed; with --out it is written with the drawings to scale
    /// and the tables for saw and labels.
    Papers(PapersArgs),
    /// Compare ways of buying: which boards to fetch, and what each way costs
    ///
    /// Plans the job from the best mix of lengths, from the best two or three, from every length alone, without the limits
    /// of the vehicle and of the yard, without the rack, and in the ways that the job file lists.
    Buy(BuyArgs),
    /// What a job costs, and what is asked for it
    ///
    /// Plans the job as `plan` does, shares out what wood, sheets and hardware cost, adds labor, waste and overhead, and makes
    /// prices by the rules of the table `[price]`. The sheet for the customer has no costs on it; that for the shop has all.
    Quote(QuoteArgs),
    /// A price list by size, from the price of wood and what was wasted before
    ///
    /// Estimates, without planning anything, what a frame of each size costs in each moulding of the job, with a mat and without,
    /// and what is asked for it by the rules of the table `[price]`: for a show, or for who asks at the counter.
    Estimate(EstimateArgs),
    /// Work out the sizes of every frame, mat, glazing and backing
    ///
    /// Needs no boards in the job.
    Sizes(SizesArgs),
    /// Read a job and report every error; plan nothing
    Check(CheckArgs),
    /// Check a plan that was written as JSON, and the proof in it
    ///
    /// Derives every cut, gap and price again from the job, and checks by whole-number arithmetic that the prices in the
    /// file prove its bound; nothing of it is shared with the search that made the plan. Ends with 0 only if all holds, with 4 if all does but that
    /// how good the plan is rests in part on the word of the search.
    Verify(VerifyArgs),
    /// Write the job as an integer program that any solver reads
    ///
    /// Prints, in the CPLEX LP format, which boards can be taken and what can be cut from them: whole numbers, with names of boards and
    /// parts. Its least value is what the best plan costs, so whoever has a general solver can ask that; the head of the file says
    /// what it proves.
    Program(ProgramArgs),
    /// Plan the rest anew after a miscut, or when the job has changed
    ///
    /// Reads the job as it now is, the plan that was being cut, and which of its cuts are done and which were spoiled; keeps
    /// what is cut, changes as little as possible without buying more, and says what changed. The next time it is given
    /// the rest.json that it wrote.
    Replan(ReplanArgs),
    /// Put what a plan leaves on the rack of the shop
    ///
    /// Once a plan is cut: takes what it used off the rack, puts its offcuts there, and writes that over the table of the
    /// rack that the job, or its shop, names; the table before is kept beside it under another name. Refuses a plan that was
    /// made from another rack than lies there now, so nothing is put there twice. With --undo a mistake is taken back.
    Stow(StowArgs),
    /// Work at a job on a page in the browser
    ///
    /// Starts a small server that only this machine reaches, and opens the browser at it. All that is done there is in the files of
    /// the job within a second, so that every other command finds it. It stops with Ctrl-C, or by the button on the page.
    Page(PageArgs),
    /// Write a commented starter job into a new folder
    ///
    /// Writes job.toml, frames.csv, pieces.csv, boards.csv and rack.csv. Never writes over a file that is there.
    Starter(StarterArgs),
    /// Explain a command or a topic
    ///
    /// Without either, all commands and topics are listed.
    Help(HelpArgs),
    /// Print a script that completes commands and options in a shell
    ///
    /// Where the script belongs is said in the manual of the shell; for bash:
    /// longpoint completions bash > ~/.local/share/bash-completion/completions/longpoint
    #[command(verbatim_doc_comment)]
    Completions(CompletionsArgs),
    /// Write the manual pages
    ///
    /// One for the program and one for each command; `man` finds them in a folder such as ~/.local/share/man/man1.
    Man(ManArgs),
    /// Print the JSON Schema of a file that is written or read
    Schema(SchemaArgs),
}

/// Use of the terminal, the same for every command.
#[derive(Clone, Copy, Debug, Args)]
#[command(next_help_heading = "Terminal")]
pub(super) struct ScreenArgs {
    /// When to print in color; auto: on a terminal, unless `NO_COLOR` is set
    #[arg(long, global = true, value_enum, value_name = "WHEN", default_value_t = ColorWhen::Auto)]
    pub(super) color: ColorWhen,
    /// Signs to draw with; auto: lines, but plain ASCII on a terminal that cannot show them
    #[arg(long, global = true, value_enum, value_name = "SIGNS", default_value_t = Drawing::Auto)]
    pub(super) drawing: Drawing,
}

/// Arguments of `help`.
#[derive(Debug, Args)]
pub(super) struct HelpArgs {
    /// A command (`plan`), a topic (`boards`), a code of an error (`E303`), or a word to look for (`miter`)
    #[arg(value_name = "COMMAND|TOPIC|CODE|WORD")]
    pub(super) subject: Option<String>,
}

/// Arguments of `completions`.
#[derive(Debug, Args)]
pub(super) struct CompletionsArgs {
    /// The shell
    #[arg(value_enum)]
    pub(super) shell: clap_complete::Shell,
}

/// Arguments of `man`.
#[derive(Debug, Args)]
pub(super) struct ManArgs {
    /// The folder to write into, made if it is not there; `-` prints all pages one after the other
    #[arg(value_name = "DIR")]
    pub(super) dir: PathBuf,
}

/// The job a command works on.
#[derive(Debug, Args)]
pub(super) struct JobFile {
    /// The job file (TOML); `-` reads it from standard input, and its tables from the current folder
    #[arg(value_name = "JOB.toml")]
    pub(super) path: PathBuf,
    /// Let the job name tables outside of its own folder; a job of your own may, a stranger's should not
    #[arg(long)]
    pub(super) tables_anywhere: bool,
}

/// What may be replaced.
#[derive(Clone, Copy, Debug, Args)]
pub(super) struct Replace {
    /// With --out, also replace files that longpoint has not written, or that were changed since; each is kept beside under
    /// another name
    #[arg(long, requires = "out")]
    pub(super) replace: bool,
}

/// How long a search may take.
#[derive(Debug, Args)]
pub(super) struct Limit {
    /// Stop after so many seconds with the best found so far, and what is proved of it
    #[arg(long, value_name = "SECONDS", value_parser = seconds)]
    pub(super) time: Option<Duration>,
}

/// Arguments of `plan`.
#[derive(Debug, Args)]
pub(super) struct PlanArgs {
    #[command(flatten)]
    pub(super) job: JobFile,
    /// What to print
    #[arg(long, value_enum, default_value_t = PlanFormat::Text)]
    pub(super) format: PlanFormat,
    /// Leave this section out of the text; may be given several times
    #[arg(long, value_enum, value_name = "SECTION")]
    pub(super) without: Vec<Section>,
    /// Go this way of buying, by the name that `buy` prints, such as "at most 2 lengths"
    #[arg(long, value_name = "NAME")]
    pub(super) way: Option<String>,
    #[command(flatten)]
    pub(super) vehicle: Vehicle,
    /// Also write plan.txt, plan.json, the CSV tables and the papers for the bench into this folder
    #[arg(long, value_name = "DIR", value_parser = folder)]
    pub(super) out: Option<PathBuf>,
    #[command(flatten)]
    pub(super) replace: Replace,
    #[command(flatten)]
    pub(super) limit: Limit,
    #[command(flatten)]
    pub(super) look: Look,
}

/// Arguments of `papers`.
#[derive(Debug, Args)]
pub(super) struct PapersArgs {
    #[command(flatten)]
    pub(super) job: JobFile,
    /// The plan, as `plan --out` wrote it, or the rest.json of the bench, of which it is the last sheet; without it the job is
    /// planned
    #[arg(value_name = "PLAN.json")]
    pub(super) plan: Option<PathBuf>,
    /// Write papers.html, boards.svg and the tables for saw and labels into this folder
    #[arg(long, value_name = "DIR", value_parser = folder)]
    pub(super) out: Option<PathBuf>,
    #[command(flatten)]
    pub(super) replace: Replace,
    #[command(flatten)]
    pub(super) limit: Limit,
}

/// Arguments of `buy`.
#[derive(Debug, Args)]
pub(super) struct BuyArgs {
    #[command(flatten)]
    pub(super) job: JobFile,
    /// What to print
    #[arg(long, value_enum, default_value_t = BuyFormat::Text)]
    pub(super) format: BuyFormat,
    /// Also say what the purchase depends on: limits, prices that would pay, and what if
    #[arg(long)]
    pub(super) why: bool,
    /// Also list what else the job needs, and what each frame costs
    #[arg(long)]
    pub(super) lists: bool,
    /// Typed by who means to plan one way: all are compared here
    #[arg(long, value_name = "NAME", hide = true)]
    pub(super) way: Option<String>,
    /// Also write ways.txt, ways.json and the CSV tables into this folder, with all of the above
    #[arg(long, value_name = "DIR", value_parser = folder)]
    pub(super) out: Option<PathBuf>,
    #[command(flatten)]
    pub(super) replace: Replace,
    #[command(flatten)]
    pub(super) vehicle: Vehicle,
    #[command(flatten)]
    pub(super) limit: Limit,
    #[command(flatten)]
    pub(super) look: Look,
}

/// Arguments of `quote`.
#[derive(Debug, Args)]
pub(super) struct QuoteArgs {
    #[command(flatten)]
    pub(super) job: JobFile,
    /// For whom the sheet is that is printed; only that for the shop has costs on it
    #[arg(long = "for", value_enum, value_name = "WHOM", default_value_t = QuoteFor::Customer)]
    pub(super) sheet: QuoteFor,
    /// A table of prices, by name or by size, that stand in place of those that the rules make: what would be earned at them,
    /// and which do not cover what they cost
    #[arg(long, value_name = "LIST.csv")]
    pub(super) prices: Option<PathBuf>,
    /// How to print it
    #[arg(long, value_enum, default_value_t = QuoteFormat::Text)]
    pub(super) format: QuoteFormat,
    /// Go this way of buying, by the name that `buy` prints, such as "at most 2 lengths"
    #[arg(long, value_name = "NAME")]
    pub(super) way: Option<String>,
    #[command(flatten)]
    pub(super) vehicle: Vehicle,
    /// Also write both sheets as text, CSV and JSON, and that for the customer as a page, into this folder
    #[arg(long, value_name = "DIR", value_parser = folder)]
    pub(super) out: Option<PathBuf>,
    #[command(flatten)]
    pub(super) replace: Replace,
    #[command(flatten)]
    pub(super) limit: Limit,
    #[command(flatten)]
    pub(super) look: Look,
}

/// Arguments of `estimate`.
#[derive(Debug, Args)]
pub(super) struct EstimateArgs {
    #[command(flatten)]
    pub(super) job: JobFile,
    /// The sizes of art: a table of them, or `inch` or `metric` for usual ones; if left out, the usual ones in the unit of the job
    #[arg(long, value_name = "SIZES.csv|inch|metric")]
    pub(super) sizes: Option<PathBuf>,
    /// A plan that was cut, of this job or any other, or the rest.json of its bench, to measure in it what is wasted; may be given
    /// several times
    #[arg(long, value_name = "PLAN.json")]
    pub(super) past: Vec<PathBuf>,
    /// The share of boards and sheets that is wasted, such as `20 %`, where no past plan tells it
    #[arg(long, value_name = "PERCENT", value_parser = waste)]
    pub(super) waste: Option<Percent>,
    /// For whom the sheet is that is printed; only that for the shop has costs on it
    #[arg(long = "for", value_enum, value_name = "WHOM", default_value_t = QuoteFor::Customer)]
    pub(super) sheet: QuoteFor,
    /// How to print it
    #[arg(long, value_enum, default_value_t = EstimateFormat::Text)]
    pub(super) format: EstimateFormat,
    /// Also write both sheets as text and CSV, and that for customers as a page, into this folder
    #[arg(long, value_name = "DIR", value_parser = folder)]
    pub(super) out: Option<PathBuf>,
    #[command(flatten)]
    pub(super) replace: Replace,
    #[command(flatten)]
    pub(super) look: Look,
}

/// Arguments of `sizes`.
#[derive(Debug, Args)]
pub(super) struct SizesArgs {
    #[command(flatten)]
    pub(super) job: JobFile,
    /// What to print
    #[arg(long, value_enum, default_value_t = SizesFormat::Text)]
    pub(super) format: SizesFormat,
    /// Also write sizes.txt and its tables (frame-sizes.csv, sheets.csv, hardware-cuts.csv) into this folder
    #[arg(long, value_name = "DIR", value_parser = folder)]
    pub(super) out: Option<PathBuf>,
    #[command(flatten)]
    pub(super) replace: Replace,
    #[command(flatten)]
    pub(super) look: Look,
}

/// Arguments of `check`.
#[derive(Debug, Args)]
pub(super) struct CheckArgs {
    #[command(flatten)]
    pub(super) job: JobFile,
}

/// Arguments of `verify`.
#[derive(Debug, Args)]
pub(super) struct VerifyArgs {
    #[command(flatten)]
    pub(super) job: JobFile,
    /// The plan, as `plan --format json` or `plan --out` wrote it; `-` reads standard input
    #[arg(value_name = "PLAN.json")]
    pub(super) plan: PathBuf,
}

/// Arguments of `program`.
#[derive(Debug, Args)]
pub(super) struct ProgramArgs {
    #[command(flatten)]
    pub(super) job: JobFile,
    #[command(flatten)]
    pub(super) vehicle: Vehicle,
}

/// Arguments of `stow`.
#[derive(Debug, Args)]
pub(super) struct StowArgs {
    #[command(flatten)]
    pub(super) job: JobFile,
    /// The plan that was cut, as `plan --out` wrote it, or the rest.json of the bench
    #[arg(value_name = "PLAN.json")]
    pub(super) plan: PathBuf,
    /// Take it back: the racks are put as they were before this plan was put there, if they still lie there as it left them
    #[arg(long)]
    pub(super) undo: bool,
}

/// Arguments of `replan`.
#[derive(Debug, Args)]
pub(super) struct ReplanArgs {
    #[command(flatten)]
    pub(super) job: JobFile,
    /// The plan that was being cut, as `plan` wrote it, or the rest.json of an earlier `replan`; `-` reads standard input
    #[arg(value_name = "PLAN.json")]
    pub(super) plan: PathBuf,
    /// A cut list whose column `state` says `cut` or `spoiled` where a cut has been made; `-` reads standard input
    #[arg(long, value_name = "CUT-LIST.csv")]
    pub(super) marks: Option<PathBuf>,
    /// Cuts made well by the mark of their board, such as "C:1-3", or as "ash 8 ft#1:1-3"; may be given several times
    #[arg(long, value_name = "MARK:CUTS")]
    pub(super) done: Vec<String>,
    /// Cuts spoiled, named in the same way; with "C:3=16" a clear stretch of 16 is good all the same, and is cut again; may be
    /// given several times
    #[arg(long, value_name = "MARK:CUTS[=GOOD]")]
    pub(super) spoiled: Vec<String>,
    /// The length of a board as measured, by its mark, such as "A=94 1/2"; may be given several times
    #[arg(long, value_name = "MARK=LENGTH")]
    pub(super) board: Vec<String>,
    /// A knot found on a board, from its near end as it was before the first cut, such as "A=30 to 31 1/2"; may be given
    /// several times
    #[arg(long, value_name = "MARK=FROM to TO")]
    pub(super) knot: Vec<String>,
    /// Also write rest.txt, rest.json, a list of all cuts still to be made, and all tables of a plan into this folder
    #[arg(long, value_name = "DIR", value_parser = folder)]
    pub(super) out: Option<PathBuf>,
    #[command(flatten)]
    pub(super) replace: Replace,
    #[command(flatten)]
    pub(super) limit: Limit,
    #[command(flatten)]
    pub(super) look: Look,
}

/// Arguments of `page`.
#[derive(Debug, Args)]
pub(super) struct PageArgs {
    /// A folder with jobs, or a job file (TOML); nothing outside of the folder is read or written
    #[arg(value_name = "FOLDER|JOB.toml", default_value = ".")]
    pub(super) place: PathBuf,
    /// Print the address, and open no browser
    #[arg(long)]
    pub(super) no_open: bool,
    /// Also let a tablet in from the local network, by a code on the screen; it may look at bench and papers, and tick cuts
    #[arg(long)]
    pub(super) share: bool,
}

/// Arguments of `starter`.
#[derive(Debug, Args)]
pub(super) struct StarterArgs {
    /// The folder to write into; made if it is not there
    #[arg(value_name = "DIR")]
    pub(super) dir: PathBuf,
}

/// Arguments of `schema`.
#[derive(Debug, Args)]
pub(super) struct SchemaArgs {
    /// Which file
    #[arg(value_enum, value_name = "FILE")]
    pub(super) of: SchemaOf,
}

/// How printed text looks.
#[derive(Debug, Args)]
pub(super) struct Look {
    /// Columns to use [default: as wide as the terminal, 80 when piped]
    #[arg(long, value_name = "COLUMNS", value_parser = clap::value_parser!(u16).range(80..=400))]
    pub(super) width: Option<u16>,
}
