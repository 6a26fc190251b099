#![expect(clippy::unwrap_used, reason = "tests")]

use super::*;
use crate::diag::unguarded;
use crate::job::StopAt;
use crate::report::samples;
use crate::stations::saw_order;
use crate::tally::Summary;

/// The value of a column in a row of a table, both counted from 0 after the header.
fn field(text: &str, row: usize, column: &str) -> String {
    let mut reader = csv::Reader::from_reader(text.as_bytes());
    let at = reader
        .headers()
        .unwrap()
        .iter()
        .position(|head| head == column)
        .expect(column);
    reader.records().nth(row).unwrap().unwrap()[at].to_owned()
}

fn n_rows(text: &str) -> usize {
    csv::Reader::from_reader(text.as_bytes()).records().count()
}

#[test]
fn the_cut_list_has_a_row_for_each_cut_with_exact_places() {
    let job = samples::job();
    let plan = samples::plan(&job);
    let text = cut_list_csv(&plan);
    assert_eq!(n_rows(&text), 4 + 4 + 6 + 4 + 4 + 2);
    insta::assert_snapshot!(text.lines().take(3).collect::<Vec<_>>().join("\n"), @r#"
mark,board,board-number,pattern,strip,cut,part,kind,frame,piece,copy,side,moulding,ends,miter-degrees,length-in,short-point-in,from-in,to-in,from-trimmed-end-in,to-trimmed-end-in,strip-width-in,strip-from-edge-in,turned,row-place,row-rails,state,good,length-nm,short-point-nm,from-nm,to-nm,from-trimmed-end-nm,to-trimmed-end-nm,strip-width-nm,strip-from-edge-nm
A,cherry 8 ft,1,1,1,1,Harbor at dawn #1 right,rail,Harbor at dawn,,1,right,cherry cap,miter,45,23.625,19.625,0.5,24.125,0,23.625,,0,no,,,,,600075000,498475000,12700000,612775000,0,600075000,,0
A,cherry 8 ft,1,1,1,2,Harbor at dawn #1 left,rail,Harbor at dawn,,1,left,cherry cap,miter,45,23.625,19.625,24.301776732,47.926776732,23.801776732,47.426776732,,0,no,,,,,600075000,498475000,617265129,1217340129,604565129,1204640129,,0
"#);
    // A rail of the hexagon, and a square piece.
    assert_eq!(field(&text, 8, "side"), "side 1");
    assert_eq!(field(&text, 8, "miter-degrees"), "30");
    assert_eq!(field(&text, 23, "ends"), "square");
    assert_eq!(field(&text, 23, "part"), "spacer #5");
    assert_eq!(field(&text, 23, "short-point-nm"), "");
}

#[test]
fn the_order_of_sawing_has_a_row_for_each_cut_by_stop() {
    let mut job = samples::job();
    job.shop.stop = StopAt::Rabbet;
    let plan = samples::plan(&job);
    let text = saw_order_csv(&plan, &saw_order(&plan));
    assert_eq!(n_rows(&text), n_rows(&cut_list_csv(&plan)));
    insta::assert_snapshot!(text.lines().take(2).collect::<Vec<_>>().join("\n"), @r#"
setting,stop-in,measured,moulding,ends,miter-degrees,mark,strip,parted,cut,part,kind,frame,piece,copy,side,length-in,short-point-in,turned,shares-cut,skip-from-in,skip-to-in,stop-nm,length-nm,short-point-nm,skip-from-nm,skip-to-nm
1,20.125,rabbet,cherry cap,miter,45,A,1,,1,Harbor at dawn #1 right,rail,Harbor at dawn,,1,right,23.625,19.625,no,no,,,511175000,600075000,498475000,,
"#);
    // Four long rails of the pair, then the short ones; derived: 19-5/8 less 2 (1-3/4) is 16-1/8.
    let at = |row, column| field(&text, row, column);
    assert_eq!([at(3, "setting"), at(4, "setting")], ["1", "2"]);
    assert_eq!([at(4, "stop-in"), at(4, "measured")], ["16.125", "rabbet"]);
    assert_eq!(
        [at(4, "mark"), at(4, "cut"), at(4, "length-in")],
        ["A", "3", "19.625"]
    );
    // A tray has no rabbet; a square piece is as long everywhere.
    assert_eq!(
        [at(14, "part"), at(14, "measured")],
        ["Kelp top", "long-point"]
    );
    assert_eq!(
        [at(23, "mark"), at(23, "ends"), at(23, "stop-in")],
        ["F", "square", "10"]
    );
}

#[test]
fn labels_have_a_row_for_each_part_and_each_frame() {
    let job = samples::job();
    let plan = samples::plan(&job);
    let text = labels_csv(&plan, &saw_order(&plan));
    assert_eq!(n_rows(&text), n_rows(&cut_list_csv(&plan)));
    let row = |row: usize, columns: &[&str]| -> Vec<String> {
        columns
            .iter()
            .map(|column| field(&text, row, column))
            .collect()
    };
    let beside = [
        "part",
        "mark",
        "long-point-in",
        "short-point-in",
        "opposite",
        "before",
        "before-corner",
        "after",
        "after-corner",
    ];
    // Derived: what the stop measures is the long point here.
    assert_eq!(
        row(2, &["setting", "stop-in", "measured", "stop-nm"]),
        ["1", "23.625", "long-point", "600075000"]
    );
    // The third label is of the second frame's right rail: board B has right, left, top and bottom.
    assert_eq!(
        row(2, &beside),
        [
            "Harbor at dawn #2 right",
            "B-1",
            "23.625",
            "19.625",
            "B-2",
            "B-3",
            "top right",
            "B-4",
            "bottom right"
        ]
    );
    // The hexagon's sixth side meets its first; three labels lie in a row.
    assert_eq!(
        row(13, &["side", "after-side", "after-corner"]),
        ["side 6", "side 1", "6-1"]
    );
    assert_eq!(row(13, &["sheet", "row", "column"]), ["1", "5", "2"]);
    assert_eq!(
        row(23, &["piece", "copy", "opposite", "before-side"]),
        ["spacer", "5", "", ""]
    );
    let frames = frame_labels_csv(&plan.job);
    assert_eq!(n_rows(&frames), 4);
    let cells = ["frame", "copy", "of", "width-in", "height-in", "price"];
    let second: Vec<String> = cells
        .iter()
        .map(|column| field(&frames, 1, column))
        .collect();
    assert_eq!(second, ["Harbor at dawn", "2", "2", "19.625", "23.625", ""]);
}

#[test]
fn the_shopping_list_has_a_row_for_each_kind_of_board() {
    let job = samples::job();
    let plan = samples::plan(&job);
    let text = buying_list_csv(&plan);
    assert_eq!(n_rows(&text), 2);
    for (column, cells) in [
        ("take", ["2", "4"]),
        ("bought", ["", ""]),
        ("measured", ["", ""]),
        ("board", ["cherry 8 ft", "cherry 5 ft"]),
        ("length", ["96 in", "60 in"]),
        ("price", ["24.50", "15.25"]),
        ("all", ["49.00", "61.00"]),
        ("from", ["yard", "yard"]),
    ] {
        assert_eq!(
            [0, 1].map(|row| field(&text, row, column)),
            cells,
            "{column}"
        );
    }
}

#[test]
fn rails_stand_frame_by_frame_and_missing_ones_have_no_board() {
    let job = samples::job();
    let mut plan = samples::plan(&job);
    let lost = plan.boards[3].strips[0].cuts.pop().unwrap();
    plan.missing.push(lost.part);
    let text = rails_csv(&plan);
    assert_eq!(n_rows(&text), 18);
    // Derived: package 16 x 20, face 2, lip 1/4, allowance 1/8 give long points 19-5/8 and 23-5/8, short points 4 in less.
    assert_eq!(field(&text, 0, "long-point-in"), "19.625");
    assert_eq!(field(&text, 0, "short-point-in"), "15.625");
    assert_eq!(
        field(&text, 1, "long-point-nm"),
        (25_400_000_i64 * 189 / 8).to_string()
    );
    assert_eq!(field(&text, 17, "side"), "left");
    assert_eq!(field(&text, 17, "board"), "");
    assert_eq!(field(&text, 16, "board"), "cherry 5 ft");
    insta::assert_snapshot!(missing_csv(&plan.job, plan.missing.iter().copied()), @r#"
part,kind,frame,piece,copy,side,moulding,length-in,length-nm
Kelp left,rail,Kelp,,1,left,cherry tray,11,279400000
"#);
}

#[test]
fn every_frame_has_all_its_sizes() {
    let job = samples::job();
    let text = frames_csv(&job);
    assert_eq!(n_rows(&text), 3);
    let first = |column: &str| field(&text, 0, column);
    assert_eq!(first("window-1-width-in"), "11");
    assert_eq!(first("window-2-width-in"), "11.5");
    assert_eq!(first("package-height-in"), "20");
    assert_eq!(first("rabbet-height-in"), "20.125");
    assert_eq!(first("sight-height-in"), "19.625");
    assert_eq!(first("outside-height-in"), "23.625");
    assert_eq!(first("stack-height-in"), "0.4375");
    assert_eq!(first("too-deep-by-in"), "0.0625");
    assert_eq!(field(&text, 1, "sides"), "6");
    assert_eq!(field(&text, 1, "outside-height-nm"), "");
    assert_eq!(field(&text, 2, "holding"), "tray");
    assert_eq!(field(&text, 2, "tray-gap-in"), "0.25");
    assert_eq!(field(&text, 2, "rabbet-width-nm"), "");
}

#[test]
fn sheets_and_offcuts() {
    let job = samples::job();
    insta::assert_snapshot!(sheets_csv(&job), @r#"
use,mat-layer,sheet,cut,sides,frames,width-in,height-in,across-flats-in,trimmed-width-in,trimmed-height-in,trimmed-across-flats-in,window-width-in,window-height-in,window-across-flats-in,window-shape,width-nm,height-nm,across-flats-nm,trimmed-width-nm,trimmed-height-nm,trimmed-across-flats-nm,window-width-nm,window-height-nm,window-across-flats-nm
glazing,,glass,2,4,Harbor at dawn,16,20,,,,,,,,,406400000,508000000,,,,,,,
mat,1,,2,4,Harbor at dawn,16,20,,,,,11.5,15.5,,,406400000,508000000,,,,,292100000,393700000,
mat,2,,2,4,Harbor at dawn,16,20,,,,,11,15,,,406400000,508000000,,,,,279400000,381000000,
backing,,foam board,2,4,Harbor at dawn,16,20,,,,,,,,,406400000,508000000,,,,,,,
"#);
    insta::assert_snapshot!(offcuts_csv( &samples::plan(&job)), @r#"
name,mark,piece,board,board-number,moulding,material,keep,kind,length-in,width-in,length-nm,width-nm
,A,,cherry 8 ft,1,cherry cap,cherry,no,end,7.792893071,,197939484,
,B,,cherry 8 ft,2,cherry cap,cherry,no,end,7.792893071,,197939484,
offcut 3,C,,cherry 5 ft,1,cherry cap,cherry,yes,end,15.576605827,,395645788,
,D,,cherry 5 ft,2,cherry tray,cherry,no,end,8.292893071,,210639484,
offcut 2,E,,cherry 5 ft,3,,cherry,yes,end,14.135723268,,359047371,
offcut 1,F,,cherry 5 ft,4,,cherry,yes,end,38.75,,984250000,
"#);
}

#[test]
fn names_with_commas_quotes_and_line_breaks_come_back_as_they_were() {
    let mut job = samples::job();
    let hostile = "Dunes, \"large\"\nprint; =1+1";
    job.frames[2].name = hostile.to_owned();
    let text = frames_csv(&job);
    assert_eq!(unguarded(&field(&text, 2, "frame")), hostile);
}

#[test]
fn the_rip_list_and_the_tables_of_a_ripped_board() {
    let (_, plan) = samples::ripped();
    let summary = Summary::new(&plan);
    insta::assert_snapshot!(rip_list_csv( &plan, &summary), @r#"
strips,mark,board,board-number,pattern,mouldings,fence-in,board-width-in,board-length-in,left-at-edge-in,fence-nm,board-width-nm,board-length-nm,left-at-edge-nm
1,A,cherry 8 ft,1,1,,2.0625,6,96,1.1875,52387500,152400000,2438400000,30162500
2,A,cherry 8 ft,1,1,,1.0625,6,96,1.1875,26987500,152400000,2438400000,30162500
"#);
    insta::assert_snapshot!(offcuts_csv( &plan), @r#"
name,mark,piece,board,board-number,moulding,material,keep,kind,length-in,width-in,length-nm,width-nm
offcut 1,A1,,cherry 8 ft,1,,cherry,yes,end,14.75,2.0625,374650000,52387500
,A2,,cherry 8 ft,1,,cherry,no,end,4.625,1.0625,117475000,26987500
offcut 2,A3,,cherry 8 ft,1,,cherry,yes,end,64.875,1.0625,1647825000,26987500
offcut 3,A,edge,cherry 8 ft,1,,cherry,yes,edge,96,1.1875,2438400000,30162500
"#);
    let cuts = cut_list_csv(&plan);
    let column = |name| -> Vec<String> { (0..6).map(|row| field(&cuts, row, name)).collect() };
    assert_eq!(column("strip"), ["1", "1", "2", "2", "2", "3"]);
    assert_eq!(column("cut"), ["1", "2", "1", "2", "3", "1"]);
    assert_eq!(field(&cuts, 5, "strip-from-edge-in"), "3.375");
    let boards = buying_list_csv(&plan);
    assert_eq!(field(&boards, 0, "board-feet"), "4.00");
}
