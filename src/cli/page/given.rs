//! Papers and files as the commands give them.

use std::time::{Duration, Instant};

use crate::cli::files::Output;
use crate::cli::quote::Offer;
use crate::cli::{buy, check_text, plan, size_tables};
use crate::compare::{Steer, find_exchanges, find_forced};
use crate::page::{Compared, FILES, Found, From, Of, Work, is_open_to};
use crate::paper::Papers;
use crate::planfile::{PlanFile, verify};
use crate::report::json::sizes_json;
use crate::report::sections::{order_sheet, plan_sheet, sizes_sheet, stations_sheet};
use crate::report::text::{Look, set};
use crate::report::verified::verified_text;
use crate::tally::Summary;

use super::session::Session;

/// Nobody waits longer for what may stand in for each board of a later sheet, or what one frame fewer saves.
const LONGEST: Duration = Duration::from_secs(5);

/// The text of a file by its name; `None` where there is none of that name now, or it is not for who asks from there.
pub(super) fn file(session: &Session, name: &str, from: From) -> Option<(&'static str, String)> {
    let &(of, name, _) = FILES.iter().find(|(_, known, _)| *known == name)?;
    if !is_open_to(of, name, from) {
        return None;
    }
    let state = session.state();
    let (work, look) = (state.work.as_ref()?, session.look);
    let text = match of {
        Of::Job => of_job(session, work, name),
        Of::Plan => of_plan(work.plan()?, look, name),
        Of::Ways => of_ways(work.compared()?, look, name),
        Of::Bench => of_bench(session, work, name),
    };
    Some((name, text?))
}

fn named(outputs: Vec<Output>, name: &str) -> Option<String> {
    let mut outputs = outputs.into_iter();
    outputs
        .find(|output| output.name == name)
        .map(|output| output.text)
}

fn of_job(session: &Session, work: &Work, name: &str) -> Option<String> {
    if name == "check.txt" {
        let path = session.folder.job_path(&work.path);
        return Some(check_text(&path, work.job.as_deref(), &work.diagnostics));
    }
    let job = work.sized()?;
    Some(match name {
        "sizes.txt" => set(&sizes_sheet(&job), session.look),
        "sizes.json" => sizes_json(&job),
        _ => return named(size_tables(&job), name),
    })
}

fn of_plan(found: &Found, look: Look, name: &str) -> Option<String> {
    let planned = &found.planned;
    let plan = &planned.plan;
    let counted = || {
        Summary::new(plan)
            .beside(planned.aside.clone())
            .with_sheets(planned.materials.clone())
    };
    let file = || PlanFile::of(planned).from_files(&found.texts).text();
    Some(match name {
        "plan.json" => file(),
        "verified.txt" => verified_text(&plan.job, &verify(&plan.job.as_read(), &file()).ok()?),
        "stops.txt" => set(&order_sheet(plan), look),
        _ if name.starts_with("quote") => {
            let forced = if name.starts_with("quote-costs") {
                let started = Instant::now();
                let steer = Steer {
                    stop: &|| started.elapsed() >= LONGEST,
                    progress: &|_, _| {},
                };
                find_forced(plan, &steer).ok()?
            } else {
                Vec::new()
            };
            let offer = Offer::new(planned, forced, &[]).ok()?;
            let outputs = offer.for_customer(look).into_iter();
            return named(outputs.chain(offer.for_shop(look)).collect(), name);
        }
        "stations.txt" => set(&stations_sheet(&counted()), look),
        _ => {
            let text = set(&plan_sheet(&counted()), look);
            let exchanges = found.exchanges.as_deref()?;
            return named(plan::outputs(planned, exchanges, text, file()), name);
        }
    })
}

fn of_ways(compared: &Compared, look: Look, name: &str) -> Option<String> {
    let reasons = compared.reasons.as_ref()?;
    named(
        buy::outputs(&compared.job, &compared.comparison, reasons, look),
        name,
    )
}

/// What the last `replan` wrote, as it lies there; the papers of its sheet are made of it.
fn of_bench(session: &Session, work: &Work, name: &str) -> Option<String> {
    let cutting = work.cutting.as_ref()?;
    if name == "rest-verified.txt" {
        let job = work.job.as_ref()?;
        let verified = verify(job, &cutting.file.text).ok()?;
        return Some(verified_text(job, &verified));
    }
    if name != "rest-papers.html" {
        return session
            .folder
            .text(&work.path, &work.plan_folder().join(name));
    }
    let at = cutting.bench.as_ref().ok()?;
    let plan = &at.bench.last().plan;
    let started = Instant::now();
    let steer = Steer {
        stop: &|| started.elapsed() >= LONGEST,
        progress: &|_, _| {},
    };
    let exchanges = find_exchanges(plan, &steer).ok()?;
    let counted = Summary::new(plan);
    Some(Papers::new(&counted, &exchanges).at_bench(&at.bench).page())
}
