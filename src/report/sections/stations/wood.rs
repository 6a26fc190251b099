//! The stations of the wood: ripping, planing, rabbet and profile, miters.

use std::collections::BTreeSet;

use crate::frame::{Milled, Miter};
use crate::length::Length;
use crate::plan::{Part, Plan, PlannedBoard};
use crate::report::document::{
    Inline, Kind, Table, Text, Tone, exact, name, needed, say, there, together, total,
};
use crate::report::naming::{marks_together, stick_mark};
use crate::stations::{
    Edge, Milling, Rabbet, SawSetting, beside_strips, blade_over, millings, miters, planed_edges,
    rabbet, rip_settings,
};
use crate::tally::{Caution, Summary};

use super::super::boards::made_into;
use super::super::resaws;
use super::{Sheet, fine};

pub(super) fn write(sheet: &mut Sheet<'_>, summary: &Summary<'_>) {
    let plan = summary.plan;
    let millings = millings(plan);
    write_resaws(sheet, summary);
    write_rips(sheet, summary);
    write_planing(sheet, plan, &millings);
    // What is milled after cutting comes behind the miters.
    let is_first = |milling: &&Milling| milling.milled == Milled::BeforeCutting;
    let (first, later): (Vec<&Milling>, Vec<&Milling>) = millings.iter().partition(is_first);
    write_milling(
        sheet,
        plan,
        &first,
        "rabbet",
        "Rabbet and profile: the strips",
    );
    write_miters(sheet, plan);
    write_milling(
        sheet,
        plan,
        &later,
        "rabbet-rails",
        "Rabbet and profile: rails milled after cutting",
    );
}

fn write_resaws(sheet: &mut Sheet<'_>, summary: &Summary<'_>) {
    let Some((how, table)) = resaws::settings(summary) else {
        return;
    };
    sheet.station("resaw", "Resaw into slices, and plane them");
    sheet.doc.table(table);
    sheet.doc.line(Tone::Plain, how);
    sheet.doc.line(
        Tone::Watch,
        "A board on edge tips easily: a fence as high as it will take, the guides of a band saw close above the wood, a push \
         block for the end of the cut, and never a hand over the blade.",
    );
}

fn write_rips(sheet: &mut Sheet<'_>, summary: &Summary<'_>) {
    let plan = summary.plan;
    let settings = rip_settings(summary);
    let planed = planed_edges(plan);
    let Some(rip) = sheet.job.shop.rip else {
        return;
    };
    if settings.is_empty() && planed.is_empty() {
        return;
    }
    sheet.station("rip", "Rip to width");
    let mut table = Table::new()
        .column("fence", Kind::Length, Tone::Strong)
        .column("strips", Kind::Number, Tone::Strong)
        .column("blade up", Kind::Length, Tone::Plain)
        .column("for", Kind::Prose, Tone::Plain)
        .column("boards", Kind::Prose, Tone::Plain);
    let marks = plan.marks();
    for setting in &settings {
        let mouldings = setting.fence.moulding_indices.iter();
        let sticks = setting.fence.boards.iter();
        table.row(vec![
            needed(setting.fence.width),
            setting.fence.n_strips.into(),
            setting.blade_height.map(needed).into(),
            Text::join(
                mouldings.map(|&idx| together(made_into(sheet.job, idx))),
                ", ",
            ),
            marks_together(&marks, sticks.map(|stick| stick.board)),
        ]);
    }
    if !settings.is_empty() {
        sheet.doc.table(table);
        let mut how = say!(
            "Straighten one edge first and run it along the fence. The fence stands so far from the near side of the \
             blade; the blade stands {} above the stock, and no more. Kerf {}.",
            exact(blade_over(Length::ZERO, sheet.job.display.unit)),
            exact(rip.kerf)
        );
        if rip.planing > Length::ZERO {
            how.push(say!(
                " Each strip has {} to be planed off its edges.",
                exact(rip.planing)
            ));
        }
        sheet.doc.line(Tone::Plain, how);
    }
    for (edges, words) in [
        (beside_strips(plan), "Left beside the strips:"),
        (planed, "Not ripped, but planed off the edge:"),
    ] {
        if !edges.is_empty() {
            let text = say!("{} {}.", words, with_widths(plan, &edges));
            sheet.doc.line(Tone::Plain, text);
        }
    }
    sheet.cautions(|caution| matches!(caution, Caution::Ripping { .. } | Caution::ThinRips { .. }));
}

/// Boards or stretches by their marks, each with a width.
fn with_widths(plan: &Plan, edges: &[Edge]) -> Text {
    let marks = plan.marks();
    let edges = edges.iter().map(|edge| {
        let planned = &plan.boards[edge.board];
        let mark = stick_mark(&marks, planned, edge.board, edge.stretch);
        together(say!("{} {}", mark, there(edge.width)))
    });
    Text::join(edges, ", ")
}

fn write_planing(sheet: &mut Sheet<'_>, plan: &Plan, millings: &[Milling]) {
    let mut table = Table::new()
        .column("moulding", Kind::Name, Tone::Strong)
        .column("strips", Kind::Number, Tone::Strong)
        .column("from", Kind::Length, Tone::Plain)
        .column("to", Kind::Length, Tone::Strong);
    for milling in millings {
        let moulding = &sheet.job.mouldings[milling.moulding_idx];
        for (thickness, count) in milling.planed_down(plan) {
            table.row(vec![
                name(&moulding.name),
                count.into(),
                there(thickness),
                moulding.thickness.map(needed).into(),
            ]);
        }
    }
    if table.rows.is_empty() {
        return;
    }
    sheet.station("planing", "Plane to thickness");
    sheet.doc.table(table);
    sheet.doc.line(
        Tone::Plain,
        "All strips of one moulding through at each setting, a little at a pass, from both faces: then all are alike.",
    );
    sheet.cautions(|caution| matches!(caution, Caution::ThickBoards { .. }));
}

/// The boards, by their positions, that an earlier sheet has cut from while they were plain, and that are milled before this one
/// cuts them.
fn begun_and_plain(plan: &Plan) -> Vec<usize> {
    let job = &plan.job;
    let boards = plan.boards.iter().enumerate().filter(|(_, planned)| {
        let board = &job.boards[planned.board_idx];
        let mut mouldings = planned.strips.iter().filter_map(|strip| strip.moulding_idx);
        board.gone().next().is_some()
            && board.milled_to().is_none()
            && mouldings.any(|idx| job.mouldings[idx].milled == Milled::BeforeCutting)
    });
    boards.map(|(at, _)| at).collect()
}

fn write_milling(
    sheet: &mut Sheet<'_>,
    plan: &Plan,
    millings: &[&Milling],
    id: &'static str,
    words: &'static str,
) {
    let here: Vec<&Milling> = millings
        .iter()
        .copied()
        .filter(|milling| milling.count > 0)
        .collect();
    if here.is_empty() {
        return;
    }
    sheet.station(id, words);
    let mut table = Table::new()
        .column("moulding", Kind::Name, Tone::Strong)
        .column("mill", Kind::Number, Tone::Strong)
        .column("in all", Kind::Words, Tone::Plain)
        .column("face", Kind::Length, Tone::Plain)
        .column("thick", Kind::Length, Tone::Plain)
        .column("milled already", Kind::Number, Tone::Faint);
    for milling in &here {
        let moulding = &sheet.job.mouldings[milling.moulding_idx];
        let before = (milling.n_milled_before > 0).then_some(milling.n_milled_before);
        table.row(vec![
            name(&moulding.name),
            milling.count.into(),
            total(milling.length),
            there(moulding.face_width),
            milling.thickness(plan).map(there).into(),
            before.into(),
        ]);
    }
    sheet.doc.table(table);
    let is_after = here
        .iter()
        .any(|milling| milling.milled == Milled::AfterCutting);
    if !is_after {
        sheet.doc.line(
            Tone::Faint,
            "What was bought with its profile goes past this station.",
        );
    }
    if !is_after {
        let begun = begun_and_plain(plan);
        if !begun.is_empty() {
            let marks = marks_together(&plan.marks(), begun);
            sheet.doc.line(
                Tone::Watch,
                say!("Sawn already for something else, and not milled yet: {}. Mill what is left before the next cut.", marks),
            );
        }
    }
    write_rabbets(sheet, plan, &here);
    if is_after {
        sheet.cautions(|caution| matches!(caution, Caution::ShortMilledAfterCutting { .. }));
    }
}

/// The rabbet in two cuts at the table saw.
fn write_rabbets(sheet: &mut Sheet<'_>, plan: &Plan, millings: &[&Milling]) {
    let shop = &sheet.job.shop;
    let sawn = Some(shop.kerf).filter(|&kerf| kerf > Length::ZERO);
    let kerf = shop.rip.map(|rip| rip.kerf).or(sawn);
    let mut table = Table::new()
        .column("rabbet of", Kind::Name, Tone::Strong)
        .column("cut", Kind::Words, Tone::Plain)
        .column("on the table", Kind::Words, Tone::Plain)
        .column("along the fence", Kind::Words, Tone::Plain)
        .column("blade up", Kind::Length, Tone::Strong)
        .column("fence", Kind::Length, Tone::Strong);
    let mut lacking = Vec::new();
    let mut is_trapped_if_wrong = false;
    for milling in millings.iter().filter(|milling| milling.count > 0) {
        let moulding = &sheet.job.mouldings[milling.moulding_idx];
        let mut row = |first: bool, cut: &'static str, faces: [&'static str; 2], at: SawSetting| {
            table.row(vec![
                first.then(|| name(&moulding.name)).into(),
                cut.into(),
                faces[0].into(),
                faces[1].into(),
                there(at.blade_height),
                there(at.fence),
            ]);
        };
        let (edge_faces, flat_faces) = (["sight edge", "front face"], ["back face", "back edge"]);
        match rabbet(moulding, milling.thickness(plan), kerf) {
            Rabbet::None => {}
            Rabbet::Unknown {
                has_depth,
                has_thickness,
            } => {
                let missing = match (has_depth, has_thickness) {
                    (false, false) => "`rabbet-depth` and `thickness` are",
                    (false, true) => "its `rabbet-depth` is",
                    (true, _) => "its `thickness` is",
                };
                lacking.push(say!(
                    "The rabbet of {}: {} not told, so the saw's settings are not either. Write what is missing in the job.",
                    name(&moulding.name),
                    missing
                ));
            }
            Rabbet::TooDeep => lacking.push(say!(
                "The rabbet of {} would go through: it is as deep as the moulding is thick, or deeper.",
                name(&moulding.name)
            )),
            Rabbet::Flat(flat) => row(true, "only", flat_faces, flat),
            Rabbet::Edge(edge) => row(true, "only", edge_faces, edge),
            Rabbet::Two { edge, flat, loose } => {
                is_trapped_if_wrong = true;
                row(true, "first", edge_faces, edge);
                row(false, "last", flat_faces, flat);
                if let Some((width, height)) = loose {
                    let text = say!(
                        "A strip of {} by {} comes loose at the last cut, on the free side of the blade.",
                        there(width),
                        there(height)
                    );
                    table.note(Tone::Faint, text);
                }
            }
        }
    }
    let has_cuts = !table.rows.is_empty();
    if has_cuts {
        sheet.doc.table(table);
        let reckoned = kerf.map(|kerf| {
            say!(
                " The kerf falls inside the rabbet; it is taken as {}.",
                exact(kerf)
            )
        });
        let text = say!(
            "At the table saw; the blade does not go through, so try both settings on a short end of waste.{}",
            reckoned
        );
        sheet.doc.line(Tone::Plain, text);
    }
    for text in lacking {
        sheet.doc.line(Tone::Watch, text);
    }
    if is_trapped_if_wrong {
        sheet.doc.line(
            Tone::Watch,
            "The strip that comes loose must lie on the free side of the blade: never the sight edge along the fence at the \
             last cut, nor the back face there if that cut comes last. Caught between blade and fence it would be thrown.",
        );
    }
    if has_cuts {
        sheet.doc.line(
            Tone::Watch,
            "Where the guard cannot stay on, featherboards or a jig hold the strip; a push stick for the last of it, and \
             the guard back on afterwards.",
        );
    }
}

/// The names of loose pieces of the plan that are mitered standing on edge.
fn names_on_edge(plan: &Plan) -> BTreeSet<&str> {
    let job = &plan.job;
    let cuts = plan.boards.iter().flat_map(PlannedBoard::cuts);
    let on_edge = cuts.filter_map(|cut| match cut.part {
        Part::Loose { piece_idx, .. } if cut.part.miter(job) != Miter::Square => {
            let piece = &job.pieces[piece_idx];
            piece.on_edge.then_some(piece.name.as_str())
        }
        Part::Loose { .. } | Part::Rail { .. } => None,
    });
    on_edge.collect()
}

fn write_miters(sheet: &mut Sheet<'_>, plan: &Plan) {
    let settings = miters(plan);
    if settings.is_empty() {
        return;
    }
    sheet.station("miter", "Miter");
    let mut table = Table::new()
        .column("moulding", Kind::Name, Tone::Strong)
        .column("sides", Kind::Number, Tone::Plain)
        .column("off square", Kind::Words, Tone::Strong)
        .column("parts", Kind::Number, Tone::Plain)
        .column("ring test", Kind::Words, Tone::Plain);
    let any_plain = settings
        .iter()
        .any(|setting| setting.moulding_idx.is_none() && setting.open.is_some());
    for setting in settings {
        table.row(vec![
            made_into(sheet.job, setting.moulding_idx),
            setting.sides.into(),
            Inline::Miter(setting.miter).into(),
            setting.n_parts.into(),
            setting.open.map(|open| fine(sheet.job, open)).into(),
        ]);
    }
    sheet.doc.table(table);
    let test = say!(
        "Test the angle before the first rail: saw as many short pieces as a frame has sides, from waste of the same \
         width, and close them to a ring. If each cut is 0.1° off, the last joint stands open by what is under \
         \u{201c}ring test\u{201d}{}.",
        any_plain.then_some(", told of plain wood for the widest")
    );
    sheet.doc.line(Tone::Plain, test);
    let on_edge = names_on_edge(plan);
    if !on_edge.is_empty() {
        sheet.doc.line(
            Tone::Watch,
            say!(
                "Saw {} standing on edge, as in the frame: the miter runs across the thickness. A strip that is mitered lying \
                 flat is spoiled.",
                Text::join(on_edge.into_iter().map(|of| say!("{}", name(of))), ", ")
            ),
        );
    }
    sheet.doc.line(
        Tone::Plain,
        "Saw opposite rails as a pair at one setting of the stop wherever the order allows: that they are equal matters more \
         than that they are right to the hair. Mark each rail on its back as it comes off the saw.",
    );
    sheet.cautions(|caution| {
        matches!(
            caution,
            Caution::ShortParts { .. }
                | Caution::ShortOffcuts { .. }
                | Caution::LooseTriangles { .. }
                | Caution::Chopper { .. }
        )
    });
}
