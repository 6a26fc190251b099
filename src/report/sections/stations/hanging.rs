//! The last station: hangers, wire and hooks.

use crate::job::{HangBy, HardwareUse};
use crate::report::document::{
    Inline, Kind, Table, Text, Tone, exact, name, place, round_figure, say, together,
};
use crate::report::hardware_words::lacking_words;
use crate::stations::{Hung, hardware, hung, wall_row};
use crate::tally::{Caution, Limits, Weight};

use super::Sheet;

pub(super) fn write(sheet: &mut Sheet<'_>) {
    let all = hung(sheet.job);
    if all.is_empty() {
        return;
    }
    sheet.station("hanging", "Hang");
    write_hangers(sheet, &all);
    write_hooks(sheet, &all);
    write_row(sheet);
    let limits = Limits::of(sheet.job.display.unit);
    let is_in_part = all.iter().any(|hung| hung.weight.is_known_in_part());
    let in_part = is_in_part.then_some(
        " Where it says \u{201c}and more\u{201d} or \u{201c}not known\u{201d} that is more than can be told here: weigh the frame with its picture, \
         and take what bears twice that.",
    );
    let text = say!(
        "Hangers, wire and hooks are to be rated for twice the weight at least.{} Two points on the wall, or a cleat, for what \
         is wider than about {} or heavier than about {}. Weights are without the artwork; what cannot be told by its name \
         is not in them.",
        in_part,
        round_figure(limits.wide),
        Inline::Weight(limits.one_wire)
    );
    sheet.doc.line(Tone::Watch, text);
    let is_of_hanging = |caution: &Caution| {
        matches!(
            caution,
            Caution::HeavyFrames { .. } | Caution::HalfWeighed { .. }
        )
    };
    sheet.cautions(is_of_hanging);
}

/// Name of a line of frames and how many there are.
fn name_cells(sheet: &Sheet<'_>, hung: &Hung) -> [Text; 2] {
    let frame = &sheet.job.frames[hung.frame_idx];
    let quantity = frame.quantity;
    [
        name(&frame.name),
        (quantity > 1).then(|| say!("×{}", quantity)).into(),
    ]
}

/// What goes on the back of the frames.
fn write_hangers(sheet: &mut Sheet<'_>, all: &[Hung]) {
    let mut table = Table::new()
        .column("on the frame", Kind::Name, Tone::Strong)
        .column("", Kind::Words, Tone::Strong)
        .column("down", Kind::Length, Tone::Strong)
        .column("from edge", Kind::Length, Tone::Strong)
        .column("apart", Kind::Length, Tone::Plain)
        .column("wire up", Kind::Length, Tone::Plain)
        .column("cut wire", Kind::Length, Tone::Strong)
        .column("it pulls", Kind::Prose, Tone::Plain);
    let mut has_wire = false;
    for hung in all {
        let at = &hung.places;
        let [name, quantity] = name_cells(sheet, hung);
        let wire = at.wire.as_ref();
        has_wire |= wire.is_some();
        table.row(vec![
            name,
            quantity,
            place(at.drop),
            at.inset.map(place).into(),
            at.span.map(place).into(),
            wire.map(|wire| place(wire.rise)).into(),
            wire.map(|wire| place(wire.to_cut(&sheet.job.display)))
                .into(),
            wire.map(|wire| match wire.pull {
                Some(pull) if !hung.weight.is_known_in_part() => say!("{}", Inline::Weight(pull)),
                Some(pull) => say!("{} and more", Inline::Weight(pull)),
                None => say!("{} times its weight", times(wire.pull_hundredths)),
            })
            .into(),
        ]);
        if let Some(cleat) = at.cleat {
            let text = say!(
                "A cleat {} long behind the rail on top, and its like on the wall, fixed where it bears: \u{201c}hooks up\u{201d} \
                 is its edge.",
                place(cleat)
            );
            table.note(Tone::Faint, text);
        } else if at.inset.is_none() {
            let text = "On the rail on top, which lies flat as the frame is drawn; without a wire.";
            table.note(Tone::Faint, text);
        }
        if !at.is_steady {
            let text = "Its hangers are not in its upper half: it would tip over.";
            table.note(Tone::Watch, text);
        }
        if !at.is_hidden {
            let text = "Its wire is drawn up to its top edge or beyond: the hook would be seen.";
            table.note(Tone::Watch, text);
        }
    }
    sheet.doc.table(table);
    write_hardware(sheet);
    let mut text =
        say!("Hangers on the upright rails, down from the top edge and in from each outer edge.");
    if has_wire {
        let tail = exact(sheet.job.assembly.hanging.wire_tail);
        text.push(say!(" The wire is told with {} at each end for wrapping, and pulled up in the middle by \u{201c}wire up\u{201d}. It pulls harder the flatter it is.", tail));
    }
    sheet.doc.line(Tone::Plain, text);
}

/// Which of the job's hardware each frame takes to hang by, and what none of it serves.
fn write_hardware(sheet: &mut Sheet<'_>) {
    let job = sheet.job;
    let list = hardware(job);
    let hangs = |hardware_use: HardwareUse| {
        use HardwareUse::{Cleat, Hangers, Hooks, Wire};
        matches!(hardware_use, Hangers | Wire | Hooks | Cleat)
    };
    for need in &list.needs {
        let of = &job.hardware[need.hardware_idx];
        if !hangs(of.hardware_use) {
            continue;
        }
        let frames = need
            .frames
            .iter()
            .map(|(idx, _)| together(name(&job.frames[*idx].name)));
        let rated = of
            .bears
            .map(|bears| say!(", rated {}", Inline::Weight(bears)));
        let text = say!("{}{}: {}.", name(&of.name), rated, Text::join(frames, ", "));
        sheet.doc.line(Tone::Plain, text);
    }
    for lacking in list
        .lacking
        .iter()
        .filter(|lacking| hangs(lacking.hardware_use))
    {
        sheet.doc.line(Tone::Watch, lacking_words(job, lacking));
    }
}

/// What goes into the wall.
fn write_hooks(sheet: &mut Sheet<'_>, all: &[Hung]) {
    let mut table = Table::new()
        .column("on the wall", Kind::Name, Tone::Strong)
        .column("", Kind::Words, Tone::Strong)
        .column("on", Kind::Words, Tone::Plain)
        .column("hooks up", Kind::Length, Tone::Strong)
        .column("apart", Kind::Length, Tone::Strong)
        .column("weighs", Kind::Words, Tone::Plain);
    for hung in all {
        let at = &hung.places;
        let [name, quantity] = name_cells(sheet, hung);
        table.row(vec![
            name,
            quantity,
            match (at.by, &at.wire) {
                (HangBy::OneHook, Some(_)) => "one hook",
                (HangBy::OneHook, None) => "one hook, no wire",
                (HangBy::TwoHooks, Some(_)) => "two hooks",
                (HangBy::TwoHooks | HangBy::Hangers, _) => "two hooks, no wire",
                (HangBy::Cleat, _) => "a cleat",
            }
            .into(),
            at.hook.map(place).into(),
            at.hooks_apart.map(place).into(),
            weight(hung),
        ]);
        if at.hook.is_none() {
            let text = "Its hook would be in the floor: look at the center line.";
            table.note(Tone::Watch, text);
        }
        if at.is_narrowed {
            let limit = match at.inset {
                Some(_) => "as its hangers",
                None => "as its rail on top is long",
            };
            let text = say!(
                "Its hooks are only as far apart {}, which is less than `hook-spacing`.",
                limit
            );
            table.note(Tone::Watch, text);
        }
        if at.by == HangBy::OneHook && (hung.is_wide || hung.is_heavy) {
            let text = "Wide or heavy for one hook: take two points on the wall.";
            table.note(Tone::Watch, text);
        }
    }
    sheet.doc.table(table);
    let text = say!(
        "Hooks up are from the floor to where the wire or the hanger rests, so that the middle of every frame is {} high.",
        exact(sheet.job.assembly.hanging.center_line)
    );
    sheet.doc.line(Tone::Plain, text);
}

/// What a frame weighs, as far as that is known.
fn weight(hung: &Hung) -> Text {
    let known = hung.weight.known;
    if known == Weight::ZERO {
        return together("not known");
    }
    let more = hung.weight.is_known_in_part().then_some(" and more");
    together(say!("{}{}", Inline::Weight(known), more))
}

/// All frames in one row on a wall.
fn write_row(sheet: &mut Sheet<'_>) {
    let Some(wall) = sheet.job.assembly.hanging.wall else {
        return;
    };
    let Some(row) = wall_row(sheet.job) else {
        let text = say!(
            "A wall of {} has not room for all frames in one row.",
            exact(wall)
        );
        sheet.doc.line(Tone::Watch, text);
        return;
    };
    let mut table = Table::new()
        .column("in a row", Kind::Name, Tone::Strong)
        .column("", Kind::Words, Tone::Strong)
        .column("middle from the left", Kind::Length, Tone::Strong);
    for (frame_idx, copy, center) in row.centers {
        let frame = &sheet.job.frames[frame_idx];
        let number = (frame.quantity > 1).then(|| say!("#{}", copy));
        table.row(vec![name(&frame.name), number.into(), place(center)]);
    }
    sheet.doc.table(table);
    let text = say!(
        "On a wall of {}: {} between neighbors, {} at each end.",
        exact(wall),
        place(row.gap),
        place(row.margin)
    );
    sheet.doc.line(Tone::Plain, text);
}

/// Hundredths as a decimal number.
fn times(hundredths: u64) -> String {
    format!("{}.{:02}", hundredths / 100, hundredths % 100)
}
