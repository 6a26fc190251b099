//! What was found of a plan file, in words.

use std::fmt::Write as _;

use crate::diag::safe_text;
use crate::job::Job;
use crate::planfile::{Standing, Verified};

/// More findings than this are counted, not listed.
const MOST_FINDINGS: usize = 40;

/// The findings, or what holds.
///
/// # Panics
/// Never: the counts are of things in memory.
pub fn verified_text(job: &Job, verified: &Verified) -> String {
    let amount = |value: i64| verified.measure.text(&job.display, value);
    let mut out = String::new();
    let standing = verified.standing();
    let heading = match standing {
        Standing::Holds => "ALL OF IT HOLDS",
        Standing::OnTrust => "THE PLAN HOLDS, ITS BOUND IS NOT PROVED HERE",
        Standing::Fails => "NOT ALL OF IT HOLDS",
    };
    let _ = writeln!(out, "{heading}");
    if !verified.findings.is_empty() {
        for finding in verified.findings.iter().take(MOST_FINDINGS) {
            let _ = writeln!(out, "  - {}", safe_text(&finding.to_string()));
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
    let count = |count: usize, noun: &str| {
        let plural = if count == 1 { "" } else { "s" };
        std::format!("{count} {noun}{plural}")
    };
    if verified.n_sheets > 1 {
        let _ = writeln!(
            out,
            "sheets {}, each of them checked; what follows is about the newest",
            verified.n_sheets
        );
    }
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
    // All else follows from job, plan and certificate.
    let _ = writeln!(
        out,
        "aside  not checked: `written_by`, and what `not_verified` says of long offcuts\n       and of plans without a wish"
    );
    let _ = writeln!(
        out,
        "{}",
        match standing {
            Standing::Holds if verified.is_best() => "so     the plan is proved best",
            Standing::OnTrust =>
                "so     how good the plan is rests in part on the word of the search;\n       this file does not prove it",
            _ => "so     this file does not prove the plan best",
        }
    );
    out
}
