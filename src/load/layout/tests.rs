use super::*;
use crate::load::schema::{BOARDS, FRAMES, PIECES};

fn laid(rows: &[&str], schema: &'static Schema) -> (usize, Vec<String>) {
    let rows: Vec<Vec<&str>> = rows.iter().map(|row| row.split('|').collect()).collect();
    let layout = Layout::of(&rows, schema);
    let said = layout.headings.iter().map(|heading| {
        let unit = heading.unit.map(|unit| format!(" in {}", unit.symbol()));
        let per = heading.per.as_ref().map(|per| format!(" per {per}"));
        let measure = unit.or(per).unwrap_or_default();
        match &heading.meaning {
            Meaning::Column(column) => format!("{}{measure}", column.name),
            Meaning::OneOf(names) => format!("? {}", names.join(" ")),
            Meaning::Unknown => "-".to_owned(),
        }
    });
    (layout.head_idx, said.collect())
}

fn means(heading: &str, schema: &'static Schema) -> String {
    laid(&[heading], schema).1.remove(0)
}

#[test]
fn headings_in_other_words_mean_what_they_say() {
    for (heading, meaning) in [
        ("Qty", "quantity"),
        ("Qty.", "quantity"),
        ("W", "art-width"),
        ("Width", "art-width"),
        ("Art width (cm)", "art-width in cm"),
        ("H [in]", "art-height in in"),
        ("Height, mm", "art-height in mm"),
        ("Height in mm", "art-height in mm"),
        ("Width cm", "art-width in cm"),
        ("Breite (mm)", "art-width in mm"),
        ("H\u{f6}he [cm]:", "art-height in cm"),
        ("Largeur (m\u{e8}tre)", "art-width in m"),
        ("Molding", "moulding"),
        ("Mat width", "? mat-border package-width"),
        ("No", "? frame quantity"),
        ("Width (framed)", "? art-width"),
        ("Mat (cm)", "? mat mat-border"),
        ("Width (W)", "art-width"),
        ("Notes", "-"),
        ("Quantity (cm)", "? quantity"),
        ("Quantity (pcs)", "quantity"),
        ("width/", "-"),
        ("", "-"),
    ] {
        assert_eq!(means(heading, &FRAMES), meaning, "{heading}");
    }
    for (heading, meaning) in [
        ("Price each", "price"),
        ("Price", "price"),
        ("Price ($)", "price"),
        ("Price / ft", "price per ft"),
        ("Price per board foot", "price per bf"),
        ("Price ($/ft)", "price per ft"),
        ("Price (\u{20ac} per m)", "price per m"),
        ("Price/each", "price"),
        ("Price per hour", "-"),
        ("Len (ft)", "length in ft"),
        ("Size", "? length nominal"),
        ("Stock", "? quantity board"),
        ("Species", "material"),
    ] {
        assert_eq!(means(heading, &BOARDS), meaning, "{heading}");
    }
    assert_eq!(means("price", &PIECES), "-");
}

#[test]
fn the_headings_are_the_row_that_says_most() {
    let found = laid(
        &[
            "Pictures for the show",
            "north hall||2026",
            "Title|W|H|Qty",
            "Width|10|12|1",
        ],
        &FRAMES,
    );
    assert_eq!(found.0, 2);
    // Of two rows that say the same, the first.
    assert_eq!(laid(&["Title|W|H", "Title|W|H"], &FRAMES).0, 0);
    assert_eq!(laid(&["a|b", "c|d"], &FRAMES), (0, vec!["-".to_owned(); 2]));
}

#[test]
fn a_heading_that_spans_others_stands_before_them() {
    let rows = [
        "|Art||Mat|",
        "Title|Width (cm)|Height|Border|Color",
        "Sea|10|12|2|white",
    ];
    let found = laid(&rows, &FRAMES);
    let wanted = [
        "frame",
        "art-width in cm",
        "art-height in cm",
        "mat-border",
        "mat",
    ];
    assert_eq!(found, (1, wanted.map(str::to_owned).to_vec()));
    // A unit above holds for what is below; what is no size of the art is asked back.
    let rows = ["|Art (cm)|", "Title|Width|Height"];
    assert_eq!(
        laid(&rows, &FRAMES).1,
        ["frame", "art-width in cm", "art-height in cm"]
    );
    let rows = ["|cm|", "Title|Width|Height"];
    assert_eq!(
        laid(&rows, &FRAMES).1,
        ["frame", "art-width in cm", "art-height in cm"]
    );
    let rows = ["|Outside|", "Title|Width|Height"];
    assert_eq!(
        laid(&rows, &FRAMES).1,
        ["frame", "? art-width", "? art-height"]
    );
    // Headings that span two rows.
    let rows = ["Name|Size||Price", "|W|H|each"];
    assert_eq!(
        laid(&rows, &FRAMES).1[..3],
        ["frame", "art-width", "art-height"]
    );
}

#[test]
fn sums_and_repeated_headings_are_no_data() {
    let rows = [vec!["Title", "W", "H", "Qty"]];
    let layout = Layout::of(&rows, &FRAMES);
    for (row, is_no_data) in [
        (["Total", "", "", "24"], true),
        (["", "Total:", "", "24"], true),
        (["Summe", "", "", "24"], true),
        (["Grand total frames", "", "", ""], true),
        (["Title", "W", "H", "Qty"], true),
        (["Total eclipse", "10", "12", "1"], false),
        (["Totally blue", "", "", "1"], false),
        (["Sea", "", "", "1"], false),
        (["Sea", "10", "12", "1"], false),
    ] {
        assert_eq!(layout.below().is_data(&row), !is_no_data, "{row:?}");
    }
    // A sum of all sizes lacks what the rows above it have.
    let is_data_below = |above: &[[&str; 4]], row: [&str; 4]| {
        let mut below = layout.below();
        assert!(above.iter().all(|row| below.is_data(row)));
        below.is_data(&row)
    };
    let total = ["Total", "18", "22", ""];
    assert!(!is_data_below(&[["Sea", "10", "12", "1"]], total));
    assert!(is_data_below(&[["Sea", "10", "12", ""]], total));
    // A picture of that name does not.
    for name in ["Total eclipse", "Sum of parts", "Somme 1916"] {
        let row = [name, "10", "12", ""];
        assert!(is_data_below(&[["Sea", "10", "12", "1"]], row), "{name}");
        assert!(!is_data_below(&[], [name, "", "", "24"]), "{name}");
    }
    // A sum of everything lacks nothing, and is what a column comes to.
    let two = [["Sea", "10.5", "12", "1"], ["Dune", "8", "9 1/2", "3"]];
    assert!(!is_data_below(&two, ["Total", "18.5", "21.5", "4"]));
    assert!(!is_data_below(&two, ["TOTAL:", "18,5", "30", "9"]));
    assert!(is_data_below(&two, ["Total", "18", "21.5", "5"]));
    // After one row it may be a picture of the same size.
    assert!(is_data_below(&two[..1], ["Total", "10.5", "12", "1"]));
}
