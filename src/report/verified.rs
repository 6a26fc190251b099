//! What was found of a plan file, in words.

use std::fmt::Write as _;

use crate::diag::{quoted, safe_text, set_messages};
use crate::job::Job;
use crate::length::Length;
use crate::planfile::{Finding, Standing, Verified, VerifiedMaterial};
use crate::report::job_changes::job_changes;
use crate::report::way_words::{gone_name, label_length};

/// More findings than this are counted, not listed.
const MOST_FINDINGS: usize = 40;

/// The findings, or what holds.
///
/// # Panics
/// Never: the counts are of things in memory.
pub fn verified_text(job: &Job, verified: &Verified) -> String {
    let job = verified.carried.as_ref().unwrap_or(job);
    let amount = |value: i64| verified.measure.text(&job.display, value);
    let mut out = String::new();
    let standing = verified.standing();
    let heading = match standing {
        Standing::Holds => "ALL OF IT HOLDS",
        Standing::OnTrust => "THE PLAN HOLDS, ITS BOUND IS NOT PROVED HERE",
        Standing::RackHasChanged => "THE PLAN ITSELF HOLDS, BUT THE RACK HAS CHANGED SINCE",
        Standing::Fails => "NOT ALL OF IT HOLDS",
    };
    let _ = writeln!(out, "{heading}");
    if !verified.findings.is_empty() {
        for finding in verified.findings.iter().take(MOST_FINDINGS) {
            let _ = writeln!(out, "  - {}", safe_text(&finding.told(job)));
            if let (Finding::JobHasChanged, Some(was)) = (finding, &verified.was) {
                write_changes(&mut out, was, job);
            }
        }
        if let Some(more) = verified
            .findings
            .len()
            .checked_sub(MOST_FINDINGS)
            .filter(|&more| more > 0)
        {
            let _ = writeln!(out, "  and {more} more");
        }
    }
    if !verified.is_plan {
        let _ = writeln!(out, "so     this file holds no plan of this job");
        return set_messages(&out);
    }
    let count = counted;
    if verified.n_sheets > 1 {
        let _ = writeln!(
            out,
            "sheets {}, each of them checked; what follows is about the newest",
            verified.n_sheets
        );
    }
    if standing == Standing::RackHasChanged {
        let _ = writeln!(
            out,
            "rack   all else was checked for the rack as it was then; pieces that the plan\n       takes from it may be gone from it now"
        );
    }
    write_purchase(&mut out, job, verified);
    let _ = writeln!(
        out,
        "plan   {} for {}; {} cut, {} missing",
        count(verified.n_boards, "board"),
        amount(verified.value),
        count(verified.n_cut, "part"),
        verified.n_missing
    );
    let _ = writeln!(
        out,
        "proof  {} comes to less than {}\n       (proved in exact arithmetic from {} of prices)",
        match verified.proved_missing {
            0 => "no plan that cuts every part".to_owned(),
            missing => std::format!(
                "no plan has fewer than {} missing, and none with so few",
                count(usize::try_from(missing).unwrap_or(usize::MAX), "part")
            ),
        },
        amount(verified.proved),
        if verified.n_tables == 1 {
            "1 table".to_owned()
        } else {
            std::format!("{} tables", verified.n_tables)
        }
    );
    write_materials(&mut out, &verified.materials);
    // All else follows from job, plan and certificate.
    let _ = writeln!(
        out,
        "aside  not checked: `written_by`, and what `not_verified` says of long offcuts\n       and of plans without a wish or limit"
    );
    let _ = writeln!(
        out,
        "{}",
        match standing {
            Standing::Holds
                if verified.is_best() && verified.materials.iter().all(|it| it.is_best) =>
                "so     the plan is proved best",
            Standing::Holds if verified.is_best() =>
                "so     the plan of the boards is proved best; that of the sheets this file does\n       not prove best",
            Standing::RackHasChanged
                if verified.is_best() && verified.materials.iter().all(|it| it.is_best) =>
                "so     for the rack as it was then the plan is proved best",
            Standing::OnTrust =>
                "so     how good the plan is rests in part on the word of the search;\n       this file does not prove it",
            _ => "so     this file does not prove the plan best",
        }
    );
    set_messages(&out)
}

/// How the job differs from what it was, row by row.
fn write_changes(out: &mut String, was: &Job, is: &Job) {
    let changes = job_changes(was, is);
    for change in changes.iter().take(MOST_FINDINGS) {
        let change = change.plain(&is.display, quoted);
        let _ = writeln!(out, "    {}", safe_text(&change));
    }
    let more = changes.len().saturating_sub(MOST_FINDINGS);
    if more > 0 {
        let _ = writeln!(out, "    and {more} more");
    }
    if changes.is_empty() {
        let _ = writeln!(out, "    What differs are settings that are not told here.");
    }
}

/// How many sheets are cut, and for how many materials it is proved that no plan is better.
fn write_materials(out: &mut String, materials: &[VerifiedMaterial]) {
    if materials.is_empty() {
        return;
    }
    let best_with = |third_cuts: bool| {
        let best = materials.iter();
        best.filter(|it| it.is_proved && it.has_third_cuts == third_cuts)
            .count()
    };
    let (n_two, n_three) = (best_with(false), best_with(true));
    let proved = if n_two == materials.len() {
        "each proved best in two stages of cuts".to_owned()
    } else if n_three == 0 {
        std::format!("{n_two} proved best in two stages of cuts")
    } else if n_two == 0 {
        std::format!("{n_three} proved best, with third cuts")
    } else {
        std::format!("{n_two} proved best in two stages of cuts,\n       {n_three} with third cuts")
    };
    let n_sheets: usize = materials.iter().map(|it| it.n_sheets).sum();
    let _ = writeln!(
        out,
        "also   {} cut; {}, {proved}",
        counted(n_sheets, "sheet"),
        counted(materials.len(), "material"),
    );
}

/// A number with its noun.
fn counted(count: usize, noun: &str) -> String {
    let plural = if count == 1 { "" } else { "s" };
    std::format!("{count} {noun}{plural}")
}

/// What the plan was limited to where that is not what the job's files say: a way of buying, another vehicle.
fn write_purchase(out: &mut String, job: &Job, verified: &Verified) {
    let Some(planned) = &verified.job else {
        return;
    };
    let label = |length: &Length| label_length(job, *length);
    if let Some(way) = gone_name(planned) {
        let _ = writeln!(out, "way    {}", safe_text(&way));
    }
    let gone = planned.buying.gone.iter();
    for wood in gone.flat_map(|gone| &gone.woods) {
        let lines = wood.boards.iter();
        let lines: Vec<&str> = lines.map(|&idx| job.boards[idx].name.as_str()).collect();
        let lengths: Vec<String> = wood.lengths.iter().map(label).collect();
        let of = safe_text(&lines.join("`, `")).into_owned();
        let _ = writeln!(out, "       of `{of}` only {}", lengths.join(", "));
    }
    if planned.buying.longest != job.buying.longest {
        let or_any = |longest: Option<Length>| {
            longest.map_or_else(
                || "boards of any length".to_owned(),
                |longest| std::format!("boards of up to {}", label(&longest)),
            )
        };
        let _ = writeln!(
            out,
            "limit  planned with {}; the job file says {}",
            or_any(planned.buying.longest),
            or_any(job.buying.longest)
        );
    }
}
