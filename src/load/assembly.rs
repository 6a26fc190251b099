//! The tables `[assembly]` and `[hanging]`.

use super::fields::{Fields, Found, Reported, Scope};
use super::hardware::read_weight;
use super::record::Record;
use super::words::{HANG_BY, HINGES};
use crate::diag::{Diagnostics, code, quoted};
use crate::job::{Assembly, HangBy, Hanging, Keys};
use crate::length::Length;

/// Reads both tables.
pub(super) fn read_assembly(
    assembly: &Record<'_>,
    hanging: &Record<'_>,
    scope: &Scope,
    faults: &mut Diagnostics,
) -> Found<Assembly> {
    let usual = Assembly::usual(scope.unit);
    let hanging = read_hanging(Fields::new(hanging, scope, faults), &usual.hanging);
    let mut fields = Fields::new(assembly, scope, faults);
    let keys = read_keys(&mut fields);
    let spline_depth = fields.optional_length("spline-depth");
    let clamp_spare = fields.optional_length("clamp-spare");
    let mat_hinge = fields.word("mat-hinge", &HINGES);
    let point_spacing = fields.optional_length("point-spacing");
    let dust_cover_margin = fields.optional_length("dust-cover-margin");
    let dust_cover_oversize = fields.length("dust-cover-oversize");
    Ok(Assembly {
        keys: keys?,
        spline_depth: spline_depth?,
        clamp_spare: clamp_spare?.unwrap_or(usual.clamp_spare),
        mat_hinge: mat_hinge?,
        point_spacing: point_spacing?.unwrap_or(usual.point_spacing),
        dust_cover_margin: dust_cover_margin?.unwrap_or(usual.dust_cover_margin),
        dust_cover_oversize: dust_cover_oversize?,
        hanging: hanging?,
    })
}

fn read_keys(fields: &mut Fields<'_, '_>) -> Found<Option<Keys>> {
    let count = fields.count("keys");
    let depth = fields.optional_length("key-depth");
    let kerf = fields.length("key-kerf");
    let count = count?;
    if count == 0 {
        for name in ["key-depth", "key-kerf"] {
            fields.warn_no_effect(name, "without `keys`");
        }
        return Ok(None);
    }
    let Some(depth) = depth? else {
        return Err(lacks_depth(fields));
    };
    let kerf = kerf?;
    check_kerf(fields, depth, kerf)?;
    Ok(Some(Keys { count, depth, kerf }))
}

/// A slot is not wider than it is deep.
fn check_kerf(fields: &mut Fields<'_, '_>, depth: Length, kerf: Length) -> Found<()> {
    match fields.field("key-kerf") {
        Some(field) if kerf > depth => {
            let what = format!(
                "a slot {} wide for a key is wider than it is deep",
                quoted(&field.text)
            );
            let hint = "`key-kerf` is the thickness of a key, `key-depth` how far its slot goes in"
                .to_owned();
            Err(fields.fault(field, code::KEYS_TOO_THICK, what, hint))
        }
        _ => Ok(()),
    }
}

/// Keys go in by some depth, and what is usual depends on the moulding.
fn lacks_depth(fields: &mut Fields<'_, '_>) -> Reported {
    let what = "`keys` needs `key-depth`";
    let hint =
        "say how deep their slots go in from the corner, as in `key-depth = \"1 in\"`".to_owned();
    match fields.field("keys") {
        Some(field) => fields.fault(field, code::NEEDS, what, hint),
        None => fields.record_fault(code::NEEDS, what, hint),
    }
}

fn read_hanging(mut fields: Fields<'_, '_>, usual: &Hanging) -> Found<Hanging> {
    let center_line = fields.optional_length("center-line");
    let by = fields.optional_word("by", &HANG_BY);
    let cleat_above = read_weight(&mut fields, "cleat-above");
    let hanger_drop = fields.optional_length("hanger-drop");
    let wire_rise = fields.optional_length("wire-rise");
    let hook_spacing = fields.optional_length("hook-spacing");
    let wire_tail = fields.optional_length("wire-tail");
    let wall = fields.optional_length("wall");
    let gap = fields.optional_length("gap");
    let by = by?;
    if matches!(by, Some(HangBy::Hangers | HangBy::Cleat)) {
        for name in ["wire-rise", "wire-tail"] {
            fields.warn_no_effect(name, "where there is no wire");
        }
    }
    if by != Some(HangBy::TwoHooks) {
        fields.warn_no_effect("hook-spacing", "without `by = \"two-hooks\"`");
    }
    if wall == Ok(None) {
        fields.warn_no_effect("gap", "without `wall`");
    }
    let (hanger_drop, wire_rise) = (hanger_drop?, wire_rise?);
    check_rise(&mut fields, hanger_drop, wire_rise)?;
    Ok(Hanging {
        center_line: center_line?.unwrap_or(usual.center_line),
        by,
        cleat_above: cleat_above?,
        hanger_drop,
        wire_rise,
        hook_spacing: hook_spacing?,
        wire_tail: wire_tail?.unwrap_or(usual.wire_tail),
        wall: wall?,
        gap: gap?,
    })
}

/// The wire must not be drawn up to the top edge.
fn check_rise(
    fields: &mut Fields<'_, '_>,
    drop: Option<Length>,
    rise: Option<Length>,
) -> Found<()> {
    let (Some(drop), Some(rise), Some(field)) = (drop, rise, fields.field("wire-rise")) else {
        return Ok(());
    };
    if rise < drop {
        return Ok(());
    }
    let what = format!(
        "a wire that rises {} reaches the top edge of its frame",
        quoted(&field.text)
    );
    let hint = "give less than the `hanger-drop`, or lower hangers".to_owned();
    Err(fields.fault(field, code::HOOK_IN_SIGHT, what, hint))
}

#[cfg(test)]
#[expect(clippy::unwrap_used, reason = "tests fail by panic")]
mod tests {
    use std::path::Path;

    use super::*;
    use crate::diag::Diagnostic;
    use crate::load::tests::Memory;
    use crate::load::{Boards, load_job};
    use crate::samples::{inches, millimeters};

    /// A job with more keys and tables before its only piece.
    fn load(more: &str) -> Result<(Assembly, Vec<String>), Vec<String>> {
        let text = format!("{more}\n[[pieces]]\npiece = \"bar\"\nlength = \"1 in\"\n");
        let memory = Memory::new(&[("job.toml", &text)]);
        let codes = |said: Vec<Diagnostic>| said.iter().map(|one| one.code.to_owned()).collect();
        match load_job(Path::new("job.toml"), &memory, Boards::NotNeeded) {
            Ok((job, warnings)) => Ok((job.assembly.clone(), codes(warnings))),
            Err(errors) => Err(codes(errors)),
        }
    }

    #[test]
    fn what_is_left_out_is_usual_where_the_unit_is() {
        let (imperial, _) = load("").unwrap();
        let (metric, _) = load("unit = \"cm\"").unwrap();
        let lines = [imperial.hanging.center_line, metric.hanging.center_line];
        assert_eq!(lines, [inches(57), millimeters(1_450)]);
        assert_eq!(
            [imperial.point_spacing, metric.point_spacing],
            [inches(3), millimeters(75)]
        );
        assert_eq!((imperial.keys, imperial.spline_depth), (None, None));
    }

    #[test]
    fn what_is_told_is_read() {
        let text = "[assembly]\nkeys = 2\nkey-depth = 1\nmat-hinge = \"long-side\"\n\
                    [hanging]\nby = \"two-hooks\"\nhook-spacing = 6\nwall = 144\ngap = 0";
        let (told, warnings) = load(text).unwrap();
        assert_eq!(warnings, [""; 0]);
        let keys = told.keys.unwrap();
        assert_eq!((keys.count, keys.depth), (2, inches(1)));
        assert_eq!(told.mat_hinge, crate::job::Hinge::LongSide);
        let hanging = told.hanging;
        assert_eq!(
            (hanging.by, hanging.gap),
            (Some(HangBy::TwoHooks), Some(Length::ZERO))
        );
        assert_eq!(hanging.hook_spacing, Some(inches(6)));
    }

    #[test]
    fn keys_need_a_depth_and_a_wire_stays_below_the_top() {
        assert_eq!(load("[assembly]\nkeys = 1").unwrap_err(), [code::NEEDS]);
        assert_eq!(
            load("[assembly]\nkeys = 10\nkey-depth = 1").unwrap_err(),
            [code::NOT_A_QUANTITY]
        );
        assert_eq!(
            load("[assembly]\npoint-spacing = 0").unwrap_err(),
            [code::LENGTH_RANGE]
        );
        let level = "[hanging]\nhanger-drop = 3\nwire-rise = 3";
        assert_eq!(load(level).unwrap_err(), [code::HOOK_IN_SIGHT]);
        assert!(load("[hanging]\nhanger-drop = 3\nwire-rise = \"2 63/64\"").is_ok());
        let wide = "[assembly]\nkeys = 1\nkey-depth = 1\nkey-kerf = \"1 1/64\"";
        assert_eq!(load(wide).unwrap_err(), [code::KEYS_TOO_THICK]);
    }

    #[test]
    fn what_changes_nothing_is_told() {
        for text in [
            "[assembly]\nkey-depth = 1",
            "[hanging]\nhook-spacing = 6",
            "[hanging]\nby = \"hangers\"\nwire-rise = 2",
            "[hanging]\ngap = 2",
        ] {
            let (_, warnings) = load(text).unwrap();
            assert_eq!(warnings, [code::NO_EFFECT], "{text}");
        }
    }
}
