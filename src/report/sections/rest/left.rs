//! What all sheets of a bench leave: the offcuts by their names, and the wood of the whole job.

use std::collections::BTreeSet;

use crate::length::Length;
use crate::plan::{Plan, offcut_name};
use crate::replan::Bench;
use crate::report::document::{
    Document, Inline, Kind, Table, Text, Tone, exact, name, say, there, together, total,
};
use crate::tally::{Balance, CountedBy, NewPiece, balances, rack_added, rack_left_new};

/// What all sheets together leave, under the names that are written on it, and what of it had one before.
fn write_offcuts(doc: &mut Document, whole: &Plan) {
    let given = &whole.given_numbers.on_boards;
    let named: BTreeSet<String> = given
        .iter()
        .map(|given| offcut_name(given.number))
        .collect();
    let added = rack_added(whole);
    // What had a name that another piece has by now has a new one.
    let renamed = |new: &NewPiece| {
        let was = given.iter().find(|given| given.is_of(&new.left));
        let was = was.map(|was| offcut_name(was.number));
        was.filter(|_| !named.contains(&new.board.name))
    };
    let renamed_from: BTreeSet<String> = added.iter().filter_map(renamed).collect();
    let mut gone: Vec<&String> = named
        .iter()
        .filter(|&name| !added.iter().any(|new| new.board.name == *name))
        .filter(|&name| !renamed_from.contains(name))
        .collect();
    let besides = rack_left_new(whole);
    if added.is_empty() && besides.is_empty() && gone.is_empty() {
        return;
    }
    doc.heading("offcuts", "For the rack, once all is cut");
    if !added.is_empty() || !besides.is_empty() {
        let mut table = Table::new()
            .column("name", Kind::Name, Tone::Strong)
            .column("length", Kind::Length, Tone::Strong)
            .column("from", Kind::Prose, Tone::Plain)
            .column("its name", Kind::Prose, Tone::Plain);
        for new in &added {
            let own = new.board.in_hand.as_ref();
            let from = own.and_then(|own| own.from.as_deref()).map(name);
            let is_named = named.contains(&new.board.name);
            table.row(vec![
                name(&new.board.name),
                there(new.left.usable),
                from.into(),
                match renamed(new) {
                    _ if is_named => "as before".into(),
                    Some(was) => say!("new: write it on; {} is another piece by now", name(&was)),
                    None => "new: write it on".into(),
                },
            ]);
        }
        for piece in &besides {
            let from = piece.in_hand.as_ref().and_then(|own| own.from.as_deref());
            table.row(vec![
                name(&piece.name),
                there(piece.length),
                from.map(name).into(),
                match (piece.given.rail, piece.quantity) {
                    (Some(_), _) => "a rail in hand, by its shorter edge: write its name on".into(),
                    (None, Some(2..)) => {
                        say!("{} of them, whole: write the name on", piece.quantity)
                    }
                    (None, _) => "not cut: write its name on".into(),
                },
            ]);
        }
        doc.table(table);
        let is_trimmed = |new: &NewPiece| new.board.length > new.left.usable;
        let as_it_lies = added.iter().any(is_trimmed).then(|| {
            say!(
                "; there an offcut has its length as it lies, with the trim of {} that is still on it",
                exact(whole.job.shop.end_trim)
            )
        });
        let offcuts = (!added.is_empty()).then_some(
            "A name that was written on an offcut stays; what is cut from it makes it shorter. ",
        );
        doc.line(
            Tone::Faint,
            say!(
                "{}`rest-rack.csv` has the same, and what lies on the rack untouched{}.",
                offcuts,
                as_it_lies
            ),
        );
    }
    if !gone.is_empty() {
        gone.sort_by_key(|name| (name.len(), (*name).clone()));
        let names = Text::join(gone.into_iter().map(|gone| together(name(gone))), ", ");
        doc.line(Tone::Plain, say!("Not there any more: {}.", names));
    }
}

/// What goes on the rack, and what becomes of all the wood, over all sheets, once everything is cut.
pub(super) fn write_what_is_left(doc: &mut Document, bench: &Bench) {
    let whole = bench.total();
    write_offcuts(doc, &whole.plan);
    let all = balances(&whole.plan, &whole.idle);
    if all.is_empty() {
        return;
    }
    doc.heading("balance", "The wood of the whole job, once all is cut");
    let shown = |balance: &Balance, size: i128| -> Text {
        match balance.counted_by {
            CountedBy::Length => i64::try_from(size)
                .map_or_else(|_| Text::default(), |nm| total(Length::from_nm(nm))),
            CountedBy::Face => Inline::Face(size).into(),
        }
    };
    for balance in &all {
        let mut table = Table::new()
            .column(
                balance.material.as_deref().map(name),
                Kind::Words,
                Tone::Plain,
            )
            .column("", Kind::Number, Tone::Strong)
            .column("", Kind::Prose, Tone::Faint);
        for (words, size, note) in [
            ("on the rack before", balance.before, ""),
            ("bought", balance.bought, ""),
            (
                "more by resawing",
                balance.resawn,
                "each slice is as large as its board",
            ),
        ] {
            if size > 0 {
                table.row(vec![words.into(), shown(balance, size), note.into()]);
            }
        }
        table.total(vec![
            "in all".into(),
            shown(balance, balance.sources()),
            Text::default(),
        ]);
        let lost = say!(
            "kerfs {}, end trims {}, scrap {}",
            shown(balance, balance.kerfs),
            shown(balance, balance.trims),
            shown(balance, balance.scrap + balance.ripped)
        );
        for (words, size, note) in [
            ("in the parts", balance.parts, Text::default()),
            (
                "spoiled",
                balance.spoiled,
                "cut, in no frame, and not kept".into(),
            ),
            (
                "on the rack then",
                balance.after,
                "as `rest-rack.csv` has it".into(),
            ),
            ("lost", balance.lost(), lost),
        ] {
            if size != 0 {
                table.row(vec![words.into(), shown(balance, size), note]);
            }
        }
        doc.table(table);
    }
}
