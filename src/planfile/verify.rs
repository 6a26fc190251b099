//! A file judged: its plan and proof by `audit`, and every field by making the file once more.

use std::cmp::Ordering;

use serde_json::Value;

use super::bench::{BenchFile, Round};
use super::compare::{Difference, differences};
use super::finding::Finding;
use super::rack::rack_change;
use super::read::{Unknown, Unreadable, parse};
use super::{BENCH_FORMAT, FORMAT, NotVerified, PlanFile, sources};
use crate::audit::{Effort, Proved, check, check_sheets, prove_sheets, prove_within};
use crate::job::Job;
use crate::length::Length;
use crate::plan::sheets::{MaterialPlan, SheetStrip};
use crate::plan::{Measure, Plan, PlannedBoard};
use crate::replan::{Bench, Draft};

/// What a plan file was found to be.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Verified {
    /// All that does not hold; empty if all of the file does.
    pub findings: Vec<Finding>,
    /// Sheets of the file: 1, or more of a job at the bench.
    pub n_sheets: usize,
    /// Whether the newest sheet could be read as a plan of the job; what follows is of that, and nothing if not.
    pub is_plan: bool,
    /// The job that the first sheet is a plan of: that of the job's files, limited to a way of buying and what the vehicle takes;
    /// `None` if it could not be read.
    pub job: Option<Job>,
    /// The job that the file carries, where that is what it is judged by, as only the racks are others by now.
    pub carried: Option<Job>,
    /// The job that the file carries, where the one that is given differs from it in more than that.
    pub was: Option<Job>,
    /// Boards of the plan.
    pub n_boards: usize,
    /// Parts it cuts.
    pub n_cut: usize,
    /// Parts it leaves out.
    pub n_missing: usize,
    /// What values are measured in.
    pub measure: Measure,
    /// The plan's value.
    pub value: i64,
    /// What the certificate proves: no plan leaves fewer parts missing.
    pub proved_missing: u64,
    /// What the certificate proves: no plan with just so many missing has a smaller value.
    pub proved: i64,
    /// Tables of prices that were checked for it.
    pub n_tables: usize,
    /// What is cut of each material that comes in sheets.
    pub materials: Vec<VerifiedMaterial>,
}

/// What was found of a material that comes in sheets.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct VerifiedMaterial {
    /// How many sheets are cut.
    pub n_sheets: usize,
    /// Whether third cuts part stacks of several pieces.
    pub has_third_cuts: bool,
    /// Whether it is proved that no plan in as many stages of cuts as it has is better.
    pub is_proved: bool,
    /// Whether it is proved that no plan in as many stages as its cutter may cut is.
    pub is_best: bool,
}

/// How much of a file holds.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Standing {
    /// All of it.
    Holds,
    /// All but that a bound is higher than what the certificate proves; the file says itself how much of it is.
    OnTrust,
    /// All of it, or all but that, for what lay on the racks when it was planned; other pieces lie there now.
    RackHasChanged,
    /// Something is not so.
    Fails,
}

impl Verified {
    /// Whether the certificate proves that no plan has fewer parts missing, nor as few for less.
    pub fn is_best(&self) -> bool {
        let n_missing = u64::try_from(self.n_missing);
        n_missing == Ok(self.proved_missing) && self.value <= self.proved
    }

    /// How much of the file holds.
    pub fn standing(&self) -> Standing {
        let is_of = |kind: &dyn Fn(&Finding) -> bool| self.findings.iter().all(kind);
        if self.findings.is_empty() {
            Standing::Holds
        } else if is_of(&Finding::is_on_trust) {
            Standing::OnTrust
        } else if is_of(&|found| found.is_of_rack() || found.is_on_trust()) {
            Standing::RackHasChanged
        } else {
            Standing::Fails
        }
    }
}

/// Of which job a file is to be a plan.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Whose {
    /// Of the job that is given, as it is.
    Given,
    /// Of the job that the file carries, whatever has become of it since.
    Carried,
}

/// Verifies the plan file, or the file of a bench, that `text` is, from `job`: of a bench every sheet, each by the job as it was
/// then, of which the newest must be this one.
///
/// Where only the racks of the job are others by now, as they are once the plan is stowed, that is a finding, and all else is
/// judged by the job that the file carries.
///
/// # Errors
/// [`Unreadable`], if `text` is no such file.
pub fn verify(job: &Job, text: &str) -> Result<Verified, Unreadable> {
    let read = Read::new(text)?;
    let carried = read.newest_job();
    let was = carried.clone().filter(|was| !was.is_cut_as(job));
    let carried = carried.filter(|carried| carried.differs_in_racks_only(job));
    let was = was.filter(|_| carried.is_none());
    let Raised {
        bench,
        mut findings,
        ..
    } = read.raise(carried.as_ref().unwrap_or(job), Whose::Given);
    if let Some(carried) = &carried {
        let change = rack_change(carried, bench.as_ref(), job);
        findings.insert(0, Finding::RackHasChanged(change));
    }
    let newest = bench.as_ref().map(|bench| &bench.last().plan);
    let mut verified = Verified {
        findings: Vec::new(),
        n_sheets: read.sheets.len(),
        is_plan: newest.is_some(),
        job: bench.as_ref().map(|bench| bench.job().clone()),
        carried,
        was,
        n_boards: newest.map_or(0, |plan| plan.boards.len()),
        n_cut: newest.map_or(0, |plan| {
            plan.boards.iter().flat_map(PlannedBoard::cuts).count()
        }),
        n_missing: newest.map_or(0, |plan| plan.missing.len()),
        measure: newest.map_or(Measure::BoardLength, |plan| plan.measure),
        value: newest.map_or(0, |plan| plan.value),
        proved_missing: 0,
        proved: 0,
        n_tables: 0,
        materials: bench.iter().flat_map(materials_of).collect(),
    };
    // One for all sheets: a file of many must come to an end, too.
    let effort = Effort::new();
    for (number, sheet) in bench
        .iter()
        .flat_map(|bench| bench.sheets().iter().enumerate())
    {
        let proved = prove_within(&sheet.plan.job, &sheet.certificate, &effort);
        let misstated = misstated(&sheet.plan, &proved);
        let of_sheets = match number {
            0 => prove_sheets(&sheet.plan.job, &sheet.materials, false),
            _ => Vec::new(),
        };
        for position in of_sheets.iter().filter_map(|found| found.place.material) {
            if let Some(material) = verified.materials.get_mut(position) {
                (material.is_proved, material.is_best) = (false, false);
            }
        }
        let found = proved.findings.into_iter().chain(of_sheets);
        let found = found.map(Finding::Audit);
        let found = found
            .chain(misstated)
            .chain(read.parted(number, &sheet.plan));
        findings.extend(found.map(|finding| read.on(number, finding)));
        verified.proved_missing = proved.missing;
        (verified.proved, verified.n_tables) = (proved.value, proved.n_tables);
    }
    verified.findings = findings;
    Ok(verified)
}

/// What the first sheet says of each material.
fn materials_of(bench: &Bench) -> Vec<VerifiedMaterial> {
    let first = &bench.sheets()[0];
    let materials = first.materials.iter();
    materials
        .map(|plan| {
            let material = first.plan.job.material(&plan.key);
            VerifiedMaterial {
                n_sheets: plan.sheets.len(),
                has_third_cuts: has_third_cuts(plan),
                is_proved: plan.best_among(&material).is_some(),
                is_best: plan.is_best(&material),
            }
        })
        .collect()
}

fn has_third_cuts(plan: &MaterialPlan) -> bool {
    let mut strips = plan.sheets.iter().flat_map(|sheet| &sheet.strips);
    strips.any(SheetStrip::has_third_cuts)
}

/// Reads the bench that a file tells of; a plan is a bench of which nothing has been cut. Its plans are checked, its
/// proofs are not. Each sheet is one of the job whose files it carries; `job` counts where it carries none. With it comes
/// `job` for the vehicle and by the way of buying that the first sheet goes.
///
/// # Errors
/// [`Unreadable`], if `text` is no such file; what does not hold, if not all of it does.
pub fn read_bench(job: &Job, text: &str) -> Result<Result<(Bench, Job), Vec<Finding>>, Unreadable> {
    let Raised {
        bench,
        job,
        findings,
    } = Read::new(text)?.raise(job, Whose::Carried);
    let both = bench.zip(job).filter(|_| findings.is_empty());
    Ok(both.ok_or(findings))
}

/// Reads a plan or a bench as one of the job whose files it carries, whatever has become of that; `None` where it carries none,
/// or is none of that job. Its plans are checked, its proofs are not.
///
/// # Errors
/// [`Unreadable`], if `text` is no such file.
pub fn read_past(text: &str) -> Result<Option<Bench>, Unreadable> {
    let read = Read::new(text)?;
    let first = read.sheets.first();
    let carried = first.and_then(|first| sources::job(&sources::texts(&first.sources)));
    let Some(job) = carried else {
        return Ok(None);
    };
    let Raised {
        bench, findings, ..
    } = read.raise(&job, Whose::Carried);
    Ok(bench.filter(|_| findings.is_empty()))
}

/// Whether a later file knows all that an earlier one does: it begins with the same sheets and rounds. What is no file of this
/// program knows nothing; what is one of another format, or damaged, may know more.
pub fn is_carried_on(earlier: &str, later: &str) -> bool {
    let earlier = match Read::new(earlier) {
        Ok(earlier) => earlier,
        Err(Unreadable::NoPlan { .. }) => return true,
        // What cannot be read may know anything.
        Err(_) => return false,
    };
    let Ok(later) = Read::new(later) else {
        return false;
    };
    // What was said of the search is not carried on.
    let known = |sheet: &PlanFile| {
        (
            sheet.boards.clone(),
            sheet.missing.clone(),
            sheet.sources.clone(),
        )
    };
    let sheets = |read: &Read| read.sheets.iter().map(known).collect::<Vec<_>>();
    let rounds = |read: &Read| read.rounds.clone().unwrap_or_default();
    sheets(&later).starts_with(&sheets(&earlier)) && rounds(&later).starts_with(&rounds(&earlier))
}

/// Bounds that are higher or lower than what the certificate proves of plans with as few parts missing as this one; where
/// fewer may be, it proves nothing of the value.
fn misstated(plan: &Plan, proved: &Proved) -> Vec<Finding> {
    let is_fewest = u64::try_from(plan.missing.len()) == Ok(proved.missing);
    let value = if is_fewest { proved.value } else { 0 };
    let must_be = |field: &str, says: String, must_be: String| {
        Finding::Field(Difference {
            path: format!("/summary/{field}"),
            says: Some(says),
            must_be: Some(must_be),
        })
    };
    let missing = plan.missing_lower_bound;
    let mut found = Vec::new();
    match missing.cmp(&proved.missing) {
        Ordering::Greater => found.push(Finding::MissingNotProved {
            says: missing,
            proved: proved.missing,
        }),
        Ordering::Less => {
            let proved = proved.missing.to_string();
            found.push(must_be("missing_lower_bound", missing.to_string(), proved));
        }
        Ordering::Equal => {}
    }
    match plan.lower_bound.cmp(&value) {
        Ordering::Greater => found.push(Finding::BoundNotProved {
            says: plan.lower_bound,
            proved: value,
        }),
        Ordering::Less => {
            let says = plan.lower_bound.to_string();
            found.push(must_be("lower_bound", says, value.to_string()));
        }
        Ordering::Equal => {}
    }
    found
}

/// What a file tells of, as far as it can be made of it.
#[derive(Default)]
struct Raised {
    /// The bench, if every plan of it passes the check.
    bench: Option<Bench>,
    /// The job that was given, for the vehicle and by the way of buying of the first sheet.
    job: Option<Job>,
    /// All that does not hold but for proofs.
    findings: Vec<Finding>,
}

impl Raised {
    /// Nothing, for this reason.
    fn nothing(findings: Vec<Finding>) -> Raised {
        Raised {
            findings,
            ..Raised::default()
        }
    }
}

/// A file as it was read.
struct Read {
    sheets: Vec<PlanFile>,
    /// `None` of a plan.
    rounds: Option<Vec<Round>>,
    value: Value,
}

impl Read {
    fn new(text: &str) -> Result<Read, Unreadable> {
        if let Some((plan, value)) = parse::<PlanFile>(text, FORMAT)? {
            return Ok(Read {
                sheets: vec![plan],
                rounds: None,
                value,
            });
        }
        let (bench, value) = parse::<BenchFile>(text, BENCH_FORMAT)?
            .expect("a file that is of this program and no plan is a bench");
        Ok(Read {
            sheets: bench.sheets,
            rounds: Some(bench.rounds),
            value,
        })
    }

    /// A finding on a sheet, by its number where there may be several.
    fn on(&self, sheet: usize, finding: Finding) -> Finding {
        if self.rounds.is_none() {
            return finding;
        }
        Finding::OnSheet {
            sheet,
            finding: Box::new(finding),
        }
    }

    /// Frames of a sheet that come in pairs for want of boards, on the file's word alone; where it says that a plan in rows
    /// lacks no more, or is a plan and does not say, it contradicts itself. A bench says of its sheets only what was planned.
    fn parted(&self, sheet: usize, plan: &Plan) -> Vec<Finding> {
        let frames = plan.job.frames.iter().enumerate();
        let in_pairs = frames.filter(|(_, frame)| frame.in_pairs);
        let mut found: Vec<Finding> = in_pairs
            .map(|(frame_idx, _)| Finding::PairsNotProved { frame_idx })
            .collect();
        let in_rows = self.sheets[sheet].not_verified.in_rows.as_ref();
        let in_rows = in_rows.map(|rows| rows.missing);
        let n_missing = plan.missing.len();
        let is_told = in_rows.map_or(self.rounds.is_some(), |missing| missing > n_missing);
        if !found.is_empty() && !is_told {
            found.push(Finding::Field(Difference {
                path: "/not_verified/in_rows/missing".to_owned(),
                says: in_rows.map(|missing| missing.to_string()),
                must_be: Some(format!("more than {n_missing}")),
            }));
        }
        found
    }

    /// A job for the vehicle and by the way of buying of the first sheet. The vehicle is that of the job, but where another was
    /// typed than stands in the files that the sheet carries.
    fn limited(&self, carried: Option<&Job>, job: &Job) -> Result<Job, Unknown> {
        let first = &self.sheets[0];
        let longest = first.settings.longest_nm.map(Length::from_nm);
        let is_typed = carried.is_none_or(|carried| carried.buying.longest != longest);
        let longest = if is_typed {
            longest
        } else {
            job.buying.longest
        };
        first.by_way(&job.with_longest(longest))
    }

    /// The job of the newest sheet, as the files hold it that the file carries; `None` where they hold none.
    fn newest_job(&self) -> Option<Job> {
        let mut rounds = self.rounds.iter().flatten().rev();
        let changed = rounds.find_map(|round| round.sources.as_ref());
        let first = || self.sheets.first().map(|first| &first.sources);
        sources::job(&sources::texts(changed.or_else(first)?))
    }

    /// What the file tells of, in terms of `job`.
    fn raise(&self, job: &Job, whose: Whose) -> Raised {
        let rounds = self.rounds.as_deref().unwrap_or_default();
        if self.sheets.len() != rounds.len() + 1 {
            return Raised::nothing(vec![Finding::RoundForEachSheet]);
        }
        let texts = sources::texts(&self.sheets[0].sources);
        let carried = if texts.is_empty() {
            None
        } else if let Some(carried) = sources::job(&texts) {
            Some(carried)
        } else {
            return Raised::nothing(vec![self.on(0, Finding::NoJob)]);
        };
        // A plan is judged by the job that is given, so that all is told that is not so in it.
        let is_carried = whose == Whose::Carried || self.rounds.is_some();
        let first = carried.as_ref().filter(|_| is_carried).unwrap_or(job);
        let limited = |job: &Job| {
            let limited = self.limited(carried.as_ref(), job);
            limited.map_err(|unknown| Box::new(self.on(0, Finding::Unknown(unknown))))
        };
        let both = limited(first).and_then(|first| Ok((first, limited(job)?)));
        let (first, job) = match &both {
            Ok((first, job)) => (first, job),
            Err(finding) => return Raised::nothing(vec![(**finding).clone()]),
        };
        let mut newest = match carried.as_ref().map(limited) {
            None => job.clone(),
            Some(Ok(carried)) => carried,
            Some(Err(finding)) => return Raised::nothing(vec![*finding]),
        };
        let mut bench: Option<Bench> = None;
        for (number, sheet) in self.sheets.iter().enumerate() {
            let on = |finding| self.on(number, finding);
            let drafted = bench
                .as_ref()
                .map(|bench| draft(bench, &rounds[number - 1], &limited, &mut newest));
            let draft = match drafted.transpose() {
                Ok(draft) => draft,
                Err(finding) => return Raised::nothing(vec![on(*finding)]),
            };
            let raised = sheet.raise(draft.as_ref().map_or(first, |draft| &draft.job));
            let (plan, certificate, materials) = match raised {
                Ok(raised) => raised,
                Err(unknown) => {
                    let unknown = on(Finding::Unknown(unknown));
                    return Raised::nothing(changed(&newest, job, whose, unknown));
                }
            };
            let mut violations = check(&plan);
            if number == 0 {
                violations.extend(check_sheets(&plan.job, &materials, false));
            }
            if !violations.is_empty() {
                let found = violations.into_iter().map(Finding::Audit);
                let mut found: Vec<Finding> = found.map(on).collect();
                let first = found.remove(0);
                let mut all = changed(&newest, job, whose, first);
                all.extend(found);
                return Raised::nothing(all);
            }
            bench = Some(match (bench, draft) {
                (Some(mut bench), Some(draft)) => {
                    bench.push(draft, plan, certificate);
                    bench
                }
                _ => Bench::of_files(plan, certificate, texts.clone()).with_sheets(materials),
            });
        }
        let compared = bench.iter().flat_map(|bench| self.compare(bench));
        let mut found: Vec<Finding> = compared.map(Finding::Field).collect();
        if has_changed(&newest, job, whose) {
            found.insert(0, Finding::JobHasChanged);
        }
        Raised {
            bench,
            job: Some(job.clone()),
            findings: found,
        }
    }

    /// Every field that is not what the bench makes it.
    fn compare(&self, bench: &Bench) -> Vec<Difference> {
        let sheets = bench.sheets().iter().zip(&self.sheets);
        let mut told = sheets.map(|(sheet, file)| NotVerified {
            ended: sheet.plan.verdict.into(),
            ..file.not_verified.clone()
        });
        let mut must_be = if self.rounds.is_some() {
            to_value(&BenchFile::of(bench, told.collect()))
        } else {
            let first = bench.last();
            let told = told.next_back().expect("a plan is one sheet");
            let file = PlanFile::with(&first.plan, &first.certificate, &first.materials, told);
            to_value(&file.from_files(&first.texts))
        };
        let mut says = self.value.clone();
        for value in [&mut says, &mut must_be] {
            forget_writer(value);
        }
        differences(&says, &must_be)
    }
}

/// A finding, and before it that the job has changed, if it has.
fn changed(newest: &Job, job: &Job, whose: Whose, finding: Finding) -> Vec<Finding> {
    let has_changed = has_changed(newest, job, whose);
    let before = has_changed.then_some(Finding::JobHasChanged);
    before.into_iter().chain([finding]).collect()
}

/// Whether a job that must be the newest one is not.
fn has_changed(newest: &Job, job: &Job, whose: Whose) -> bool {
    whose == Whose::Given && !newest.is_cut_as(job)
}

/// The next sheet of a bench after a round, which may have changed the job.
fn draft(
    bench: &Bench,
    round: &Round,
    limited: &dyn Fn(&Job) -> Result<Job, Box<Finding>>,
    newest: &mut Job,
) -> Result<Draft, Box<Finding>> {
    let (mut news, kept, wishes) = round.raise().ok_or_else(|| Box::new(Finding::NoJob))?;
    if let Some((job, _)) = &mut news.job {
        *job = limited(job)?;
        newest.clone_from(job);
    }
    bench
        .draft(&news, kept, wishes)
        .map_err(|impossible| Box::new(Finding::Impossible(impossible)))
}

fn to_value(file: &impl serde::Serialize) -> Value {
    serde_json::to_value(file).expect("only strings, integers and lists are written, and no map")
}

/// Leaves only that there is a text under `written_by`: any version of the program may have written it.
fn forget_writer(file: &mut Value) {
    if let Some(writer) = file.get_mut("written_by") {
        *writer = Value::Null;
    }
    let sheets = file.get_mut("sheets").and_then(Value::as_array_mut);
    // A plan has sheets too, of glass and board; they have no such key.
    sheets.into_iter().flatten().for_each(|sheet| {
        if let Some(writer) = sheet.get_mut("written_by") {
            *writer = Value::Null;
        }
    });
}
