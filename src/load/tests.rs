use std::collections::BTreeMap;
use std::path::PathBuf;

use proptest::prelude::*;

use super::*;
use crate::diag::{Diagnostic, code};
use crate::frame::{Borders, Frame, Holding, Mat, Milled, Mount, Outline, Sheet};
use crate::job::Ends;
use crate::length::{Length, Unit};
use crate::money::Money;
use crate::stock::Price;

/// Files in memory.
#[derive(Default)]
pub(super) struct Memory(BTreeMap<PathBuf, Result<Vec<u8>, FileFault>>);

impl Memory {
    pub(super) fn new(files: &[(&str, &str)]) -> Memory {
        let mut memory = Memory::default();
        for (path, text) in files {
            memory.put(path, Ok(text.as_bytes().to_vec()));
        }
        memory
    }

    pub(super) fn put(&mut self, path: &str, content: Result<Vec<u8>, FileFault>) {
        self.0.insert(PathBuf::from(path), content);
    }
}

impl Files for Memory {
    fn read(&self, path: &Path) -> Result<Vec<u8>, FileFault> {
        self.0.get(path).cloned().unwrap_or(Err(FileFault::Missing))
    }
}

/// One line for each.
pub(super) fn listed(found: &[Diagnostic]) -> String {
    found.iter().map(|each| format!("{each}\n")).collect()
}

pub(super) fn load(files: &[(&str, &str)]) -> Result<Job, String> {
    load_job(Path::new("job.toml"), &Memory::new(files), Boards::Needed)
        .map(|(job, _)| job)
        .map_err(|faults| listed(&faults))
}

pub(super) fn job(files: &[(&str, &str)]) -> Job {
    load(files).unwrap_or_else(|faults| unreachable!("the job is sound:\n{faults}"))
}

fn report(memory: &Memory) -> String {
    match load_job(Path::new("job.toml"), memory, Boards::Needed) {
        Ok((_, warnings)) => listed(&warnings),
        Err(faults) => listed(&faults),
    }
}

const SMALL: &str = "pieces = \"pieces.csv\"\nboards = \"boards.csv\"\n";
const PIECES: (&str, &str) = ("pieces.csv", "piece,length\nspacer,10\n");

/// A job whose boards are this table.
fn with_boards(table: &str) -> Result<Job, String> {
    load(&[("job.toml", SMALL), PIECES, ("boards.csv", table)])
}

fn inches_64(parts: i64) -> Length {
    Length::from_nm(parts * 396_875)
}

#[test]
fn the_smallest_job_of_pieces_and_boards_is_read() {
    let toml = "\
pieces = \"pieces.csv\"
boards = \"boards.csv\"

[saw]
kerf = \"1/8\"
end-trim = 0.5
";
    let pieces = "piece,length,quantity,ends\nA,20 1/2,3,miter\nB,12,,square\n";
    let boards = "board,length,quantity,price\nlong,96,,12.50\nshort,48,2,\n";
    let job = job(&[
        ("job.toml", toml),
        ("pieces.csv", pieces),
        ("boards.csv", boards),
    ]);
    assert_eq!(job.title, "job");
    assert_eq!(job.shop.kerf, inches_64(8));
    assert_eq!(job.shop.end_trim, inches_64(32));
    assert_eq!(job.pieces[0].length, inches_64(20 * 64 + 32));
    assert_eq!(
        (job.pieces[0].quantity, job.pieces[0].ends),
        (3, Ends::Miter)
    );
    assert_eq!(
        (job.pieces[1].quantity, job.pieces[1].ends),
        (1, Ends::Square)
    );
    assert_eq!(job.boards[0].quantity, None);
    assert_eq!(
        job.boards[0].price,
        Some(Price::Each(Money::from_minor(1250)))
    );
    assert_eq!(job.boards[1].quantity, Some(2));
    assert_eq!(job.boards[1].price, None);
}

#[test]
fn defaults_are_those_of_common_practice() {
    let toml = "[[mouldings]]\nname = 'm'\nface-width = 2\n[[frames]]\nframe = 'f'\nart-width = 11\nart-height = 14\n[[boards]]\nboard = 'b'\nlength = 96\n";
    let job = job(&[("job.toml", toml)]);
    // Common practice, no source: kerf and fit 1/8 in, trim 1/2 in, lip 1/4 in, 12 in kept.
    assert_eq!(job.shop.kerf, inches_64(8));
    assert_eq!(job.shop.end_trim, inches_64(32));
    assert_eq!(job.shop.fit_allowance, inches_64(8));
    assert_eq!(job.shop.shortest_offcut, Length::FOOT);
    assert_eq!(job.shop.point_room, Length::ZERO);
    assert_eq!(job.mouldings[0].lip, inches_64(16));
    assert_eq!(job.mouldings[0].milled, Milled::BeforeCutting);
    assert_eq!(job.display.unit, Unit::Inch);
    assert_eq!(job.display.step, inches_64(2));
    assert_eq!(job.display.currency.decimals, 2);
    let frame = Frame {
        name: "f".to_owned(),
        quantity: 1,
        art: Outline::Rectangle {
            width: Length::INCH * 11,
            height: Length::INCH * 14,
        },
        art_thickness: Length::ZERO,
        mat: None,
        glazing: None,
        spacer: None,
        backing: None,
        holding: Holding::Rabbet,
        moulding_idx: 0,
        inner: Vec::new(),
        held_by: None,
        grain: None,
        in_pairs: false,
        match_color: None,
        gets_cover: true,
        boards: crate::frame::ChosenBoards::ANY,
    };
    assert_eq!(job.frames, [frame]);
}

#[test]
fn a_kerf_and_a_trim_of_zero_are_legal() {
    let toml = format!("{SMALL}[saw]\nkerf = 0\nend-trim = \"0 mm\"\n");
    let job = job(&[
        ("job.toml", &toml),
        PIECES,
        ("boards.csv", "board,length\nb,10\n"),
    ]);
    assert_eq!(job.shop.kerf, Length::ZERO);
    assert_eq!(job.shop.end_trim, Length::ZERO);
}

#[test]
fn a_quantity_of_no_boards_is_legal_and_of_no_pieces_is_not() {
    let job = with_boards("board,length,quantity\nb,96,0\n").expect("an empty shelf is legal");
    assert_eq!(job.boards[0].quantity, Some(0));
    let pieces = ("pieces.csv", "piece,length,quantity\nspacer,10,0\n");
    let boards = ("boards.csv", "board,length\nb,96\n");
    assert_eq!(
        load(&[("job.toml", SMALL), pieces, boards]).expect_err("nothing is wanted"),
        "\
pieces.csv, line 2, column `quantity`: error: `0` is out of range: `quantity` must be from 1 to 200000 (E016)
"
    );
}

#[test]
fn numbers_of_the_job_file_keep_their_digits() {
    let toml = "unit = \"mm\"\n[saw]\nkerf = 3.175001\nend-trim = 1_2.5\n[shop]\npoint-room = 0.1\n[[pieces]]\npiece = 'p'\nlength = 100\n[[boards]]\nboard = 7\nlength = +1_000\n";
    let job = job(&[("job.toml", toml)]);
    assert_eq!(job.shop.kerf.nm(), 3_175_001);
    assert_eq!(job.shop.end_trim.nm(), 12_500_000);
    assert_eq!(job.shop.point_room.nm(), 100_000);
    assert_eq!(job.boards[0].name, "7");
    assert_eq!(job.boards[0].length, Length::METRE);
    assert_eq!(job.display.step.nm(), 500_000);
}

#[test]
fn numbers_that_are_not_finite_are_refused_in_the_job_file() {
    let toml = format!("{SMALL}[saw]\nkerf = inf\nend-trim = -nan\n");
    let faults = load(&[
        ("job.toml", &toml),
        PIECES,
        ("boards.csv", "board,length\nb,96\n"),
    ]);
    assert_eq!(
        faults.expect_err("nothing is cut by an infinite kerf"),
        "\
job.toml, line 4: error: `inf` is not a length: a length must be finite (E013)
job.toml, line 5: error: `-nan` is not a length: a length must be finite (E013)
"
    );
}

#[test]
fn spreadsheets_of_every_kind_give_the_same_boards() {
    let plain =
        with_boards("board,length,quantity,price\nwalnut, 8 ft,2,12.50\noak,14 1/8\",,1.5\n")
            .expect("a plain table");
    for table in [
        "\u{feff}board,length,quantity,price\r\nwalnut,8 ft,2,12.50\r\noak,14 1/8\",,1.5\r\n",
        "board;length;quantity;price\nwalnut;8 ft;2;12,50\noak;14,125;;1,5\n",
        "board\tlength\tquantity\tprice\nwalnut\t8 ft\t2\t12.50\noak\t14.125\t\t1.5",
        "sep=;\nboard;length;quantity;price\nwalnut;8 ft;2;12.50\noak;14.125;;1.5\n",
        "\u{feff}SEP=,\r\nboard,length,quantity,price\r\nwalnut,8 ft,2,12.50\r\noak,14.125,,1.5\r\n",
        "\"board\",\"length\",\"quantity\",\"price\"\n\"walnut\",\"8 ft\",\"2\",\"12.50\"\n\"oak\",\"14 1/8\"\"\",\"\",\"1.5\"\n",
        "Price, BOARD ,Quantity,Length\n12.50,walnut,2,96\n1.5,oak,,14-1/8\n",
        "board,length,quantity,price,,\n,,,,,\nwalnut,96,2,12.50,,\n\n\n  ,,,,,\noak,14⅛,,1.5,,\n,,,,,\n",
        "board,length,quantity,price\rwalnut,96,2,12.50\roak,14.125,,1.5\r",
        "\n\nboard,length,quantity,price\nwalnut,96,2,12.50\noak,14.125,,1.5,\n",
    ] {
        let job = with_boards(table);
        let boards = job.as_ref().map(|job| &job.boards);
        assert_eq!(boards, Ok(&plain.boards), "{table}");
    }
    let headers = "frame,art width,Art_Height\nf,13,19\n";
    let toml = "frames = 'f.csv'\n[[mouldings]]\nname = 'm'\nface-width = 2\n[[boards]]\nboard = 'b'\nlength = 96\n";
    assert_eq!(
        job(&[("job.toml", toml), ("f.csv", headers)]).frames.len(),
        1
    );
}

#[test]
fn lines_are_counted_past_empty_ones() {
    for table in [
        "board,length\n\n\r\n,\nwalnut,x\n",
        "sep=,\n\nboard,length\n\nwalnut,x\n",
        "\nboard,length\r\n\r\n\r\nwalnut,x",
    ] {
        let faults = with_boards(table).expect_err("x is no length");
        assert!(
            faults.contains("boards.csv, line 5, column `length`: error: "),
            "{faults}"
        );
    }
}

#[test]
fn tables_in_the_job_file_read_as_those_in_files() {
    let head = "[[mouldings]]\nname = 'm'\nface-width = '1 1/2'\n";
    let inline = format!(
        "title = 'show'\n{head}
[[frames]]
frame = 'harbor'
quantity = 2
art-width = 16
art-height = 20.5
mat-border = '2 1/2'
mat-bottom = 3

[[pieces]]
piece = 'spacer'
length = '10 in'

[[boards]]
board = 'walnut'
length = '8 ft'
price = 12.50
"
    );
    let split = format!(
        "title = 'show'\nframes = 'frames.csv'\npieces = 'pieces.csv'\nboards = 'boards.csv'\n{head}"
    );
    let frames =
        "frame,quantity,art-width,art-height,mat-border,mat-bottom\nharbor,2,16,20.5,2 1/2,3\n";
    let files = [
        ("job.toml", &*split),
        ("frames.csv", frames),
        ("pieces.csv", "piece,length\nspacer,10 in\n"),
        ("boards.csv", "board,length,price\nwalnut,8 ft,12.50\n"),
    ];
    assert_eq!(job(&[("job.toml", &inline)]), job(&files));
}

#[test]
fn tables_are_looked_for_beside_the_job_file() {
    let memory = Memory::new(&[
        (
            "shop/spring.toml",
            "pieces = 'in/p.csv'\nboards = '/b.csv'\n",
        ),
        ("shop/in/p.csv", "piece,length\nspacer,10\n"),
        ("/b.csv", "board,length\nb,96\n"),
    ]);
    let loaded = load_job(Path::new("shop/spring.toml"), &memory, Boards::Needed);
    assert_eq!(
        loaded.map(|(job, _)| job.title.clone()),
        Ok("spring".to_owned())
    );
}

/// One frame of 16 by 20 in, from these columns and fields besides.
fn framed(columns: &str, fields: &str) -> Frame {
    let toml = "\
frames = 'frames.csv'

[shop]
mat-overlap = '1/8'

[[mouldings]]
name = 'm'
face-width = 1

[[sheets]]
name = 'glass'
use = 'glazing'
thickness = '3/32'

[[sheets]]
name = '8 ply'
use = 'mat'
thickness = '1/8'

[[boards]]
board = 'b'
length = 96
";
    let frames = format!("frame,art-width,art-height,{columns}\nf,16,20,{fields}\n");
    job(&[("job.toml", toml), ("frames.csv", &frames)])
        .frames
        .remove(0)
}

#[test]
fn a_mat_is_read_with_borders_layers_and_sheet() {
    let frame = framed(
        "mat-border,mat-bottom,mat-layers,mat,glazing",
        "2,3,2,8 ply,glass",
    );
    let two = Length::INCH * 2;
    assert_eq!(
        frame.mat,
        Some(Mat {
            name: Some("8 ply".to_owned()),
            borders: Borders {
                top: two,
                right: two,
                bottom: Length::INCH * 3,
                left: two,
            },
            mount: Mount::Overlap(inches_64(8)),
            layers: 2,
            reveal: inches_64(16),
            thickness: inches_64(8),
            is_oval: false,
            lower: Vec::new(),
        })
    );
    let glass = Sheet {
        name: "glass".to_owned(),
        thickness: inches_64(6),
    };
    assert_eq!(frame.glazing, Some(glass));
}

#[test]
fn the_borders_of_a_package_are_its_rest_halved() {
    // Derived: window 16 - 2 x 1/4 = 15 1/2 and 20 - 1/2 = 19 1/2; (20 - 15 1/2) / 2 = 2 1/4, (25 - 19 1/2) / 2 = 2 3/4.
    let frame = framed("package-width,package-height,overlap", "20,25,1/4");
    let mat = frame.mat.expect("the package makes a mat");
    assert_eq!(mat.borders.left, inches_64(2 * 64 + 16));
    assert_eq!(mat.borders.right, inches_64(2 * 64 + 16));
    assert_eq!(mat.borders.top, inches_64(2 * 64 + 48));
    assert_eq!(mat.thickness, inches_64(4));
    // A floated artwork has no overlap; an odd 1/64 in does not halve exactly, and the package keeps its size.
    let floated = framed("package-width,package-height,mount", "20 1/64,25,float");
    let borders = floated.mat.expect("the package makes a mat").borders;
    assert_eq!(borders.left + borders.right, inches_64(4 * 64 + 1));
    assert_eq!((borders.right - borders.left).nm(), 1);
}

#[test]
fn trays_and_polygons_are_read() {
    assert_eq!(
        framed("tray-gap", "1/4").holding,
        Holding::Tray { gap: inches_64(16) }
    );
    let toml = "[[mouldings]]\nname = 'm'\nface-width = 2\n[[frames]]\nframe = 'f'\nart-width = 11\nsides = 6\n[[boards]]\nboard = 'b'\nlength = 96\n";
    let hexagon = Outline::of_side(6, Length::INCH * 11);
    assert_eq!(job(&[("job.toml", toml)]).frames[0].art, hexagon);
}

#[test]
fn a_rectangle_without_a_column_for_its_height_is_told() {
    let toml = "frames = 'f.csv'\n[[mouldings]]\nname = 'm'\nface-width = 2\n[[boards]]\nboard = 'b'\nlength = 96\n";
    assert_eq!(
        load(&[("job.toml", toml), ("f.csv", "frame,art-width\nf,11\n")]),
        Err("\
f.csv, line 2: error: a rectangle needs `art-height` (E112); add the column, or give the number of `sides` of a regular polygon
"
        .to_owned())
    );
}

#[test]
fn faults_of_all_files_come_together_in_order() {
    let toml = "frames = 'frames.csv'\nboards = 'boards.csv'\ntitel = 'x'\n[saw]\nkerf = 'wide'\n[[mouldings]]\nname = 'm'\nface-width = 0\n";
    let faults = load(&[
        ("job.toml", toml),
        (
            "frames.csv",
            "frame,art-width,art-height,moulding\nf,-1,x,m\ng,13,19,n\n",
        ),
        ("boards.csv", "board,length,price\nb,,y\n"),
    ])
    .expect_err("almost everything is wrong");
    let lines: Vec<&str> = faults
        .lines()
        .map(|line| line.split("; ").next().unwrap_or(line))
        .collect();
    assert_eq!(
        lines,
        [
            "boards.csv, line 2: error: column `length` is empty in this row (E021)",
            "boards.csv, line 2, column `price`: error: `y` is not a price: expected digits, found `y` (E017)",
            "frames.csv, line 2, column `art-width`: error: `-1` is out of range: a length must not be negative (E015)",
            "frames.csv, line 2, column `art-height`: error: `x` is not a length: expected a number, found `x` (E013)",
            "frames.csv, line 3, column `moulding`: error: unknown moulding `n` (E101)",
            "job.toml, line 3: error: unknown key `titel` (E006)",
            "job.toml, line 5: error: `wide` is not a length: expected a number, found `wide` (E013)",
            "job.toml, line 8: error: `0` is out of range: `face-width` must be more than zero (E015)",
        ]
    );
}

#[test]
fn warnings_come_with_the_job() {
    let memory = Memory::new(&[
        ("job.toml", SMALL),
        PIECES,
        ("boards.csv", "board,length,price\na,96,5\nb,96,\n"),
    ]);
    let (job, warnings) =
        load_job(Path::new("job.toml"), &memory, Boards::Needed).expect("warnings are no faults");
    assert_eq!(job.boards.len(), 2);
    assert_eq!(warnings.len(), 1);
    assert_eq!(warnings[0].code, code::PRICE_MISSING);
}

#[test]
fn a_file_that_gives_no_text_is_told_in_each_case() {
    for (content, expected) in [
        (
            Err(FileFault::Missing),
            "job.toml, line 2: error: there is no file `boards.csv` (E001)\n",
        ),
        (
            Err(FileFault::Directory),
            "job.toml, line 2: error: `boards.csv` is a directory, not a file (E002)\n",
        ),
        (
            // The 200 MB that the command line refuses by their size alone.
            Err(FileFault::TooLarge { size: 200_000_000 }),
            "job.toml, line 2: error: file `boards.csv` has 200000000 bytes, the limit is 67108864 (E004)\n",
        ),
        (
            Err(FileFault::NotAllowed),
            "job.toml, line 2: error: file `boards.csv` may not be read (E019)\n",
        ),
        (
            Err(FileFault::Unreadable(std::io::ErrorKind::BrokenPipe)),
            "job.toml, line 2: error: file `boards.csv` cannot be read: broken pipe (E019)\n",
        ),
        (
            Ok(b"\x7fELF\0\0\0".to_vec()),
            "boards.csv: error: the file is not text (E003); ",
        ),
        (
            // Half a pair of UTF-16.
            Ok(b"\xff\xfeb\0\0\xd8r\0d\0".to_vec()),
            "boards.csv: error: the file is UTF-16, not UTF-8 (E003); ",
        ),
        (
            Ok(b"board,length\noak\x81,96\n".to_vec()),
            "boards.csv: error: byte 0x81 on line 2 is not UTF-8 text (E003); ",
        ),
    ] {
        let mut memory = Memory::new(&[("job.toml", SMALL), PIECES]);
        memory.put("boards.csv", content);
        let found = report(&memory);
        assert!(found.starts_with(expected), "{found}");
        assert_eq!(found.matches(": error: ").count(), 1, "{found}");
    }
}

#[test]
fn a_job_file_that_gives_no_text_is_told() {
    assert_eq!(
        report(&Memory::default()),
        "job.toml: error: there is no file `job.toml` (E001)\n"
    );
    let mut binary = Memory::default();
    binary.put("job.toml", Ok(vec![0, 1, 2]));
    assert!(report(&binary).starts_with("job.toml: error: the file is not text (E003); "));
}

#[test]
fn an_empty_table_and_a_table_of_nothing_but_its_header_are_told_apart() {
    assert_eq!(
        with_boards("").expect_err("there is no header"),
        "\
boards.csv: error: the table is empty: its first row must name the columns (E010); columns are `board`, `length`, `quantity`, `price`, `material`, `thickness`, `width`, `nominal`, `surfaced`, `defects`
"
    );
    let faults = with_boards("board,length\n").expect_err("there are no boards");
    assert!(
        faults.starts_with("job.toml: error: the job has no boards (E302); "),
        "{faults}"
    );
}

#[test]
fn reading_ends_when_a_table_has_too_many_faults() {
    let table = format!("board,length\n{}", "b,x\n".repeat(2_000));
    let faults = with_boards(&table).expect_err("x is no length");
    // Every row but the first has two faults: its length, and a name that stands twice.
    assert_eq!(faults.matches(": error: ").count(), 1_002);
    assert!(
        faults.ends_with(
            "boards.csv, line 503: error: reading ended here after 1000 errors (E023)\n"
        ),
        "{}",
        &faults[faults.len() - 200..]
    );
}

#[test]
fn a_part_may_be_as_long_as_the_board_between_its_trims() {
    // Derived: 96 in less two trims of 1/2 in is 95 in; one nanometer more is reported.
    let boards = ("boards.csv", "board,length\nshort,48\nb,96\n");
    let fits = ("pieces.csv", "piece,length\nspline,95\n");
    assert_eq!(job(&[("job.toml", SMALL), fits, boards]).pieces.len(), 1);
    let too_long = ("pieces.csv", "piece,length\nspline,2413.000001 mm\n");
    assert_eq!(
        load(&[("job.toml", SMALL), too_long, boards]),
        Err("\
pieces.csv, line 2: error: piece `spline` needs `95 1/64 in`, but the longest board that suits, `b`, has `95 in` between its trims (E303); a board of `96 1/64 in` would do
"
        .to_owned())
    );
}

#[test]
fn boards_eaten_by_their_trim_are_told_and_not_also_the_parts() {
    let toml = format!("{SMALL}[saw]\nend-trim = 60\n");
    let boards = ("boards.csv", "board,length\nb,96\n");
    let faults = load(&[("job.toml", &toml), PIECES, boards]).expect_err("nothing is left");
    assert_eq!(faults.matches(": error: ").count(), 1, "{faults}");
    assert!(faults.ends_with(" (E203)\n"), "{faults}");
}

#[test]
fn a_faulty_moulding_does_not_make_its_frames_faulty() {
    let toml = "[[mouldings]]\nname = 'm'\nface-width = 'x'\n[[frames]]\nframe = 'f'\nmoulding = 'm'\nart-width = 11\nart-height = 14\n[[boards]]\nboard = 'b'\nlength = 1\n";
    let faults = load(&[("job.toml", toml)]).expect_err("the moulding is faulty");
    assert_eq!(faults.matches(": error: ").count(), 1, "{faults}");
    assert!(faults.contains(": error: `x` is not a length"), "{faults}");
}

proptest! {
    #![proptest_config(cases!(200))]

    #[test]
    fn no_bytes_of_a_table_make_the_reader_panic(bytes in proptest::collection::vec(any::<u8>(), 0..300)) {
        let mut memory = Memory::new(&[("job.toml", SMALL), PIECES]);
        memory.put("boards.csv", Ok(bytes));
        let _ = report(&memory);
    }

    #[test]
    fn no_likely_table_makes_the_reader_panic(rows in "(board|length|price|quantity|width|[;,\t\"\r\n]|[0-9 ./a-z½\u{feff}-]){0,80}") {
        let table = format!("board,length,price,quantity,width,thickness\n{rows}");
        for table in [&table, &rows] {
            let _ = with_boards(table);
        }
    }

    #[test]
    fn no_bytes_of_a_job_file_make_the_reader_panic(bytes in proptest::collection::vec(any::<u8>(), 0..300)) {
        let mut memory = Memory::default();
        memory.put("job.toml", Ok(bytes));
        let _ = report(&memory);
    }

    #[test]
    fn no_likely_job_file_makes_the_reader_panic(
        text in "(title|unit|saw|shop|frames|boards|mouldings|name|kerf|length|[=\\[\\]{},.'\"\n#]|[0-9 a-z½_-]){0,80}"
    ) {
        let _ = load(&[("job.toml", &text)]);
    }

    #[test]
    fn no_frame_of_likely_fields_makes_the_reader_panic(
        fields in proptest::collection::vec("|0|1|2 1/2|-1|1/64|9999999999|x|float|overlap|m|glass|100000 ft", 20)
    ) {
        let columns = "quantity,moulding,art-thickness,mat-border,mat-top,mat-right,mat-bottom,mat-left,package-width,\
            package-height,mount,overlap,mat-layers,reveal,mat,glazing,backing,tray-gap,art-height,sides";
        let toml = "frames = 'f.csv'\n[[mouldings]]\nname = 'm'\nface-width = 2\nrabbet-depth = 1\n[[sheets]]\nname = 'glass'\nuse = 'glazing'\nthickness = 1\n[[boards]]\nboard = 'b'\nlength = 96\n";
        let frames = format!("frame,art-width,{columns}\nf,16,{}\n", fields.join(","));
        let _ = load(&[("job.toml", toml), ("f.csv", &frames)]);
    }
}
