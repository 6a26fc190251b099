//! Lists as people have them: with titles and totals, in words of their own, from many programs and countries.
//!
//! Each is read right, or refused with what is wrong and a way out. The lists are invented; `pictures.xlsx` was written by
//! openpyxl 3.1, `bilder.ods` by odfpy 1.4, and the workbooks made here by `rust_xlsxwriter`.

#![expect(clippy::panic, reason = "a test stops at the first surprise")]

use std::collections::BTreeMap;
use std::path::{Path, PathBuf};

use longpoint::desk::Desk;
use longpoint::diag::{Diagnostic, Severity};
use longpoint::frame::Outline;
use longpoint::job::Job;
use longpoint::length::{Length, Unit};
use longpoint::load::{Boards, FileFault, Files, file_and_sheet, load_job, table_text};
use longpoint::money::Money;
use longpoint::stock::Price;
use rust_xlsxwriter::{Format, Formula, Workbook, XlsxError};

/// Files by name, with whatever bytes.
#[derive(Default)]
struct Folder(BTreeMap<PathBuf, Vec<u8>>);

impl Files for Folder {
    fn read(&self, path: &Path) -> Result<Vec<u8>, FileFault> {
        let (file, _) = file_and_sheet(path);
        self.0.get(&file).cloned().ok_or(FileFault::Missing)
    }
}

impl Folder {
    fn of(job: &str, name: &str, bytes: impl Into<Vec<u8>>) -> Folder {
        let files = [("job.toml", job.as_bytes().to_vec()), (name, bytes.into())];
        Folder(
            files
                .into_iter()
                .map(|(name, bytes)| (PathBuf::from(name), bytes))
                .collect(),
        )
    }

    fn load(&self, boards: Boards) -> Result<(Job, Vec<Diagnostic>), Vec<Diagnostic>> {
        load_job(Path::new("job.toml"), self, boards)
    }
}

const MOULDING: &str = "[[mouldings]]\nname = \"plain\"\nface-width = \"1 in\"\n";

fn told(found: &[Diagnostic]) -> Vec<String> {
    found.iter().map(ToString::to_string).collect()
}

/// A job of frames in one table.
fn of_frames(head: &str, name: &str, bytes: impl Into<Vec<u8>>) -> Folder {
    let file = name.split('#').next().unwrap_or(name);
    Folder::of(
        &format!("{head}\nframes = \"{name}\"\n{MOULDING}"),
        file,
        bytes,
    )
}

/// A length in millimeters, where it is a whole number of tenths.
fn millimeters(length: Length) -> String {
    let tenths = length.nm() / 100_000;
    assert_eq!(tenths * 100_000, length.nm());
    format!("{}.{}", tenths / 10, tenths % 10)
}

/// The frames of a list with their counts and the sizes of their art in millimeters, and what is noted.
fn frames(folder: &Folder) -> (Vec<String>, Vec<String>) {
    match folder.load(Boards::NotNeeded) {
        Ok((job, notes)) => {
            let frames = job.frames.iter().map(|frame| {
                let sizes = match frame.art {
                    Outline::Rectangle { width, height } => [width, height],
                    other @ Outline::Regular { .. } => unreachable!("{other:?}"),
                }
                .map(millimeters);
                format!("{} x{} {}", frame.name, frame.quantity, sizes.join("x"))
            });
            (frames.collect(), told(&notes))
        }
        Err(faults) => (Vec::new(), told(&faults)),
    }
}

/// What is noted of a list that is read as these frames.
fn read_as(folder: &Folder, wanted: &[&str]) -> Vec<String> {
    let (found, said) = frames(folder);
    assert_eq!(found, wanted, "{said:#?}");
    said
}

/// What is wrong with a list.
fn faults(folder: &Folder, boards: Boards) -> Vec<String> {
    match folder.load(boards) {
        Ok((_, said)) => panic!("it is read: {:#?}", told(&said)),
        Err(faults) => {
            let errors = faults
                .iter()
                .filter(|fault| fault.severity == Severity::Error);
            errors.map(ToString::to_string).collect()
        }
    }
}

/// Prices of boards in minor units with what they are for, and what is noted.
fn prices(head: &str, bytes: impl Into<Vec<u8>>) -> (Vec<String>, Vec<String>) {
    let job =
        format!("{head}\nboards = \"boards.csv\"\n[[pieces]]\npiece = \"p\"\nlength = \"10 in\"\n");
    match Folder::of(&job, "boards.csv", bytes).load(Boards::Needed) {
        Ok((job, notes)) => {
            let prices = job.boards.iter().map(|board| match board.price {
                None => "-".to_owned(),
                Some(Price::Each(money)) => money.minor().to_string(),
                Some(Price::PerLength { money, per }) => {
                    format!("{}/{}", money.minor(), millimeters(per))
                }
                Some(Price::PerBoardFoot { money, .. }) => format!("{}/bf", money.minor()),
                Some(Price::PerSquareMeter(money)) => format!("{}/m2", money.minor()),
                Some(Price::PerCubicMeter(money)) => format!("{}/m3", money.minor()),
            });
            (prices.collect(), told(&notes))
        }
        Err(faults) => (Vec::new(), told(&faults)),
    }
}

const SEA: [&str; 2] = ["Sea x1 254.0x304.8", "Dune x2 203.2x254.0"];

#[test]
fn a_table_in_our_form_is_read_without_a_word() {
    let list = "frame,art-width,art-height,quantity\nSea,10,12,1\nDune,8,10,2\n";
    assert!(read_as(&of_frames("", "list.csv", list), &SEA).is_empty());
}

#[test]
fn title_rows_and_a_total_are_passed_over_and_said() {
    let list = "Spring show,,,\n\"North hall, upper floor\",,,\n,,,\nframe,art-width,art-height,quantity\nSea,10,12,1\nDune,8,10,2\n,,,\nTotal,,,3\n";
    assert_eq!(
        read_as(&of_frames("", "list.csv", list), &SEA),
        ["list.csv: note: the headings are in line 4; no data in lines 1, 2, 8 (N001)"]
    );
}

#[test]
fn a_sum_of_lengths_is_no_board() {
    let (found, said) = prices("", "board,length,price\na,96,5.00\nb,48,2.50\nTotal,144,\n");
    assert_eq!(found, ["500", "250"], "{said:?}");
}

#[test]
fn own_columns_are_named_once_and_left() {
    let list = "frame,Client,art-width,art-height,Paid?,quantity\nSea,A. B.,10,12,yes,1\nDune,C. D.,8,10,no,2\n";
    assert_eq!(
        read_as(&of_frames("", "list.csv", list), &SEA),
        ["list.csv: note: not read: `Client`, `Paid?` (N001)"]
    );
}

/// Of a list with hundreds of columns of its own the first ones are named, and the rest counted.
#[test]
fn so_many_own_columns_that_nobody_would_read_them_are_counted() {
    let own: Vec<String> = (0..200).map(|number| format!("Zz{number}x")).collect();
    let blank = ",".repeat(own.len());
    let head = format!("frame,art-width,art-height,quantity,{}", own.join(","));
    let list = format!("{head}\nSea,10,12,1{blank}\nDune,8,10,2{blank}\n");
    let said = read_as(&of_frames("", "list.csv", list), &SEA);
    // Derived: 24 of 200 are named.
    assert!(
        said[0].ends_with("`Zz22x`, `Zz23x` and 176 more (N001)"),
        "{said:?}"
    );
}

#[test]
fn headings_in_other_words_are_understood_and_named() {
    let list = "Title,W,H,Qty,Molding\nSea,10,12,1,plain\nDune,8,10,2,plain\n";
    assert_eq!(
        read_as(&of_frames("", "list.csv", list), &SEA),
        [
            "list.csv: note: `Title` is read as `frame`; `W` is read as `art-width`; `H` is read as `art-height`; \
          `Molding` is read as `moulding` (N001)"
        ]
    );
}

#[test]
fn headings_in_two_rows_are_read_together() {
    let list = ",Art,,\nTitle,Width,Height,Copies\nSea,10,12,1\nDune,8,10,2\n";
    let said = read_as(&of_frames("", "list.csv", list), &SEA);
    assert!(
        said[0].contains("`Art Width` is read as") || said[0].contains("headings are in line 2"),
        "{said:?}"
    );
}

#[test]
fn a_unit_in_a_heading_is_that_of_the_numbers_below() {
    let list = "frame,Width (mm),\"Height, cm\",qty\nSea,254,30.48,1\nDune,203.2,\"25.4 cm\",2\n";
    assert_eq!(
        read_as(&of_frames("", "list.csv", list), &SEA),
        [
            "list.csv: note: `Width (mm)` is read as `art-width` in mm; `Height, cm` is read as `art-height` in cm (N001)"
        ]
    );
}

#[test]
fn a_unit_with_one_of_two_headings_is_that_of_both_and_said() {
    for (list, said) in [
        (
            "frame,Width (mm),Height,qty\nSea,254,304.8,1\nDune,203.2,\"10 in\",2\n",
            "`Height` is read as `art-height` in mm, the unit of `Width (mm)`",
        ),
        (
            "frame,art-width,\"art-height, cm\",qty\nSea,25.4,30.48,1\nDune,20.32,25.4,2\n",
            "`art-width` is read as `art-width` in cm, the unit of `art-height, cm`",
        ),
    ] {
        let found = read_as(&of_frames("", "list.csv", list), &SEA);
        assert!(found.len() == 1 && found[0].contains(said), "{found:?}");
    }
    // The thickness of the art has no part in it, and two units are two.
    let list = "frame,Width (cm),Height (mm),qty,art-thickness\nSea,25.4,304.8,1,1/8\nDune,20.32,254,2,1/8\n";
    let found = read_as(&of_frames("", "list.csv", list), &SEA);
    assert!(!found[0].contains("the unit of"), "{found:?}");
}

#[test]
fn semicolons_and_decimal_commas_of_a_german_spreadsheet() {
    let list = "Titel;Breite (cm);H\u{f6}he (cm);Anzahl\r\nSea;25,4;30,48;1\r\nDune;20,32;25,4;2\r\nSumme;;;3\r\n";
    let said = read_as(&of_frames("unit = \"mm\"", "list.csv", list), &SEA);
    assert!(
        said[0].ends_with("`Anzahl` is read as `quantity`; no data in line 4 (N001)"),
        "{said:?}"
    );
}

#[test]
fn french_headings_and_tabs() {
    let list =
        "Titre\tLargeur\tHauteur\tQuantit\u{e9}\nSea\t254,0\t304,8\t1\nDune\t203,2\t254\t2\n";
    assert_eq!(
        read_as(&of_frames("unit = \"mm\"", "list.csv", list), &SEA).len(),
        1
    );
}

#[test]
fn utf_16_of_both_orders_is_read_and_said() {
    let list = "frame\tart-width\tart-height\tqty\r\nSea\t10\t12\t1\r\nDune\t8\t10\t2\r\n";
    for is_little in [true, false] {
        let units = "\u{feff}".encode_utf16().chain(list.encode_utf16());
        let bytes = |unit: u16| {
            if is_little {
                unit.to_le_bytes()
            } else {
                unit.to_be_bytes()
            }
        };
        let bytes: Vec<u8> = units.flat_map(bytes).collect();
        assert_eq!(
            read_as(&of_frames("", "list.csv", bytes), &SEA),
            ["list.csv: note: read as UTF-16 (N001)"]
        );
    }
}

#[test]
fn windows_1252_is_guessed_and_said() {
    let list = b"Bild;Breite;H\xf6he;Anzahl\r\nM\xf6we \x80;254;304,8;1\r\n";
    let said = read_as(
        &of_frames("unit = \"mm\"", "list.csv", list.to_vec()),
        &["M\u{f6}we \u{20ac} x1 254.0x304.8"],
    );
    assert!(
        said[0].starts_with(
            "list.csv: note: read as Windows-1252, such as `Bild;Breite;H\u{f6}he;Anzahl`"
        ),
        "{said:?}"
    );
}

#[test]
fn a_mark_in_front_and_lines_of_very_old_programs() {
    let list = "\u{feff}frame,art-width,art-height,qty\rSea,10,12,1\rDune,8,10,2\r";
    assert!(read_as(&of_frames("", "list.csv", list), &SEA).is_empty());
}

#[test]
fn a_first_line_that_names_the_separator() {
    let list = "sep=;\nMy pictures\nframe;art-width;art-height;qty\nSea;10;12;1\nDune;8;10;2\n";
    let said = read_as(&of_frames("", "list.csv", list), &SEA);
    assert_eq!(
        said,
        ["list.csv: note: the headings are in line 3; no data in line 2 (N001)"]
    );
}

#[test]
fn headings_that_come_again_on_every_page() {
    let list = "Title,W,H,Qty\nSea,10,12,1\nTitle,W,H,Qty\nDune,8,10,2\n";
    let said = read_as(&of_frames("", "list.csv", list), &SEA);
    assert!(said[0].ends_with("no data in line 3 (N001)"), "{said:?}");
}

#[test]
fn empty_columns_and_rows_do_no_harm() {
    let list =
        ",frame,art-width,art-height,qty,,\n,,,,,,\n,Sea,10,12,1,,\n,,,,,,\n,Dune,8,10,2,,\n";
    assert!(read_as(&of_frames("", "list.csv", list), &SEA).is_empty());
}

#[test]
fn a_frame_may_be_called_total() {
    let list = "frame,art-width,art-height,qty\nTotal eclipse,10,12,1\nTotal,8,10,2\n";
    let wanted = ["Total eclipse x1 254.0x304.8", "Total x2 203.2x254.0"];
    assert!(read_as(&of_frames("", "list.csv", list), &wanted).is_empty());
}

#[test]
fn a_heading_with_two_meanings_is_asked_back() {
    let list = "frame,art-width,art-height,Mat width\nSea,10,12,2\nDune,8,10,2\n";
    assert_eq!(
        faults(&of_frames("", "list.csv", list), Boards::NotNeeded),
        [
            "list.csv, line 1, column `Mat width`: error: `Mat width` may mean `mat-border` or `package-width` (E027); rename it: \
          take the one that is meant, or a word of your own for a column that is not to be read"
        ]
    );
}

#[test]
fn a_running_number_is_asked_back_unless_nothing_else_is_left() {
    let list = "No,frame,art-width,art-height\n1,Sea,10,12\n2,Dune,8,10\n";
    let found = faults(&of_frames("", "list.csv", list), Boards::NotNeeded);
    assert!(
        found.len() == 1 && found[0].contains("`No` may mean `frame` or `quantity` (E027)"),
        "{found:?}"
    );
    let list = "No,frame,art-width,art-height,qty\n1,Sea,10,12,1\n2,Dune,8,10,2\n";
    let said = read_as(&of_frames("", "list.csv", list), &SEA);
    assert_eq!(said, ["list.csv: note: not read: `No` (N001)"]);
}

#[test]
fn what_is_in_brackets_and_not_understood_is_not_taken_for_a_size() {
    let list = "frame,Width (outside),Height (outside)\nSea,10,12\nDune,8,10\n";
    let found = faults(&of_frames("", "list.csv", list), Boards::NotNeeded);
    assert!(
        found.len() >= 2 && found[0].contains("`Width (outside)` may mean `art-width` (E027)"),
        "{found:?}"
    );
    // Nor is a mat left out in silence.
    let list = "frame,art-width,art-height,Mat (cm)\nSea,10,12,5\n";
    let found = faults(&of_frames("", "list.csv", list), Boards::NotNeeded);
    assert!(
        found.len() == 1 && found[0].contains("`Mat (cm)` may mean `mat` or `mat-border` (E027)"),
        "{found:?}"
    );
}

#[test]
fn a_list_of_pictures_with_titles_and_frames_is_asked_which_is_the_name() {
    let list = "Title,art-width,art-height,Frame\nSea,10,12,plain\n";
    let found = faults(&of_frames("", "list.csv", list), Boards::NotNeeded);
    assert!(
        found.len() == 1
            && found[0].contains("`Title` and `Frame` may both be what a row is called (E027)"),
        "{found:?}"
    );
}

#[test]
fn a_workbook_under_another_name_is_told() {
    for bytes in [b"PK\x03\x04\0".to_vec(), b"\xd0\xcf\x11\xe0\0".to_vec()] {
        let found = faults(&of_frames("", "list.xls", bytes), Boards::NotNeeded);
        assert_eq!(
            found,
            [
                "job.toml, line 2: error: `list.xls` is a workbook, and is not named as one that is read (E029); save it as `.xlsx`, \
              `.ods` or CSV, and name that"
            ]
        );
    }
}

#[test]
fn one_fault_for_a_misspelled_column_and_not_one_for_each_row() {
    let list = "frame,art-widht,art-height\nSea,10,12\nDune,8,10\nHeron,8,10\n";
    let found = faults(&of_frames("", "list.csv", list), Boards::NotNeeded);
    assert_eq!(found.len(), 1, "{found:?}");
    assert!(
        found[0].contains("unknown column `art-widht` (E009); did you mean `art-width`?"),
        "{found:?}"
    );
}

#[test]
fn fractions_that_became_dates_are_told() {
    let list = "frame,art-width,art-height\nSea,8-May,12\nDune,05.08.2026,10\nHeron,2026-05-08,10\nBoat,8. Mai,10\n";
    let found = faults(&of_frames("", "list.csv", list), Boards::NotNeeded);
    assert_eq!(found.len(), 4, "{found:?}");
    assert_eq!(
        found[0],
        "list.csv, line 2, column `art-width`: error: `8-May` is a date, not a length: a spreadsheet takes a fraction such as \
         5/8 for one (E028); format the column as text, and type the fraction anew, best with its whole number: `0 5/8`"
    );
}

#[test]
fn american_prices() {
    let list = "Board,Length,Price each\na,96,$918.90\nb,96,\"$1,234.50\"\nc,96,\"1,450\"\n";
    let (found, said) = prices("", list);
    assert_eq!(found, ["91890", "123450", "145000"], "{said:?}");
    assert_eq!(
        said,
        ["boards.csv: note: `Price each` is read as `price` (N001)"]
    );
}

#[test]
fn german_and_french_prices() {
    let list =
        "board;length;Preis\na;2400;18,90 \u{20ac}\nb;2400;1.450,00\nc;2400;1.450\nd;2400;12,-\n";
    let (found, said) = prices("unit = \"mm\"\ncurrency = \"EUR\"", list);
    assert_eq!(found, ["1890", "145000", "145000", "1200"], "{said:?}");
    let list = "board;length;prix unitaire\na;2400;1\u{202f}234,50 \u{20ac}\nb;2400;1\u{a0}234\nc;2400;18,9\n";
    let (found, said) = prices("unit = \"mm\"\ncurrency = \"\u{20ac}\"", list);
    assert_eq!(found, ["123450", "123400", "1890"], "{said:?}");
}

#[test]
fn swiss_prices() {
    let list =
        "board;length;price\na;2400;Fr. 1'234.50\nb;2400;1\u{2019}450.\u{2013}\nc;2400;CHF 18.90\n";
    let (found, said) = prices("unit = \"mm\"\ncurrency = \"CHF\"", list);
    assert_eq!(found, ["123450", "145000", "1890"], "{said:?}");
}

#[test]
fn a_price_that_can_be_read_in_two_ways_is_refused_unless_the_others_tell() {
    let list = "board,length,price\na,96,\"1,450\"\nb,96,18\n";
    let (_, said) = prices("", list);
    assert_eq!(
        said,
        [
            "boards.csv, line 2, column `price`: error: `1,450` is not a price: it may be 1450 or 1.450 (E017); write it with its \
          decimals, or without a sign between its digits"
        ]
    );
    let list = "board,length,price\na,96,\"1,450\"\nb,\"96,5\",18\n";
    let (_, said) = prices("", list);
    assert_eq!(
        said,
        [
            "boards.csv, line 2, column `price`: error: `1,450` is not a price: the currency has 2 decimal places (E017); \
          round the price, or set `currency-decimals` in the job file"
        ]
    );
}

#[test]
fn prices_by_length_and_by_board_foot_may_be_so_headed() {
    let list = "board,length,width,thickness,Price per ft\na,96,6,1,2.50\nb,96,6,1,7.80/bf\n";
    assert_eq!(prices("", list).0, ["250/304.8", "780/bf"]);
    let list = "board,length,width,thickness,Price ($/bf)\na,96,6,1,2.50\n";
    assert_eq!(prices("", list).0, ["250/bf"]);
}

#[test]
fn prices_by_square_and_cubic_meter_as_sawmills_sell() {
    let list = "Artikel;L\u{e4}nge;Breite;St\u{e4}rke;Preis/m\u{b3}\nEiche;3000;200;52;1.250,00 \u{20ac}\nEsche;3000;200;27;38,50/m2\n";
    assert_eq!(prices("unit = \"mm\"", list).0, ["125000/m3", "3850/m2"]);
    let list = "Item,Length,Width,Thickness,\"Price (\u{a3} per m2)\"\nAsh,3000,200,27,38.50\n";
    assert_eq!(prices("unit = \"mm\"", list).0, ["3850/m2"]);
}

#[test]
fn two_currencies_are_never_mixed() {
    let list = "board,length,price\na,96,$18.90\nb,96,\u{20ac}18.90\n";
    let (_, said) = prices("", list);
    assert_eq!(
        said,
        [
            "boards.csv, line 3, column `price`: error: `\u{20ac}18.90` is not a price: `\u{20ac}` is another currency than `$` above it \
          (E017); write all prices in one currency"
        ]
    );
    let (_, said) = prices("currency = \"EUR\"", "board,length,price\na,96,$18.90\n");
    assert!(
        said[0].contains("`$` is another currency than `EUR`"),
        "{said:?}"
    );
}

#[test]
fn lengths_with_decimal_commas_where_the_list_tells() {
    let list = "frame,art-width,art-height\nSea,\"25,4\",\"30,48\"\nDune,\"20,32\",\"25,4\"\n";
    read_as(
        &of_frames("unit = \"cm\"", "list.csv", list),
        &["Sea x1 254.0x304.8", "Dune x1 203.2x254.0"],
    );
    // A point with three digits behind it may be anything there.
    let list = "frame;art-width;art-height\nSea;1.200;30,48\n";
    let found = faults(
        &of_frames("unit = \"mm\"", "list.csv", list),
        Boards::NotNeeded,
    );
    assert!(
        found[0].contains("`1.200` is not a length: it may be 1200 or 1.200 (E013)"),
        "{found:?}"
    );
}

#[test]
fn thousands_in_lengths_are_asked_back_where_they_could_be_meant() {
    let long =
        |name: &str, list: &str| faults(&of_frames("unit = \"mm\"", name, list), Boards::NotNeeded);
    for text in ["1,200", "1.200", "1.200mm", "1'200", "2\u{2019}400"] {
        let found = long(
            "list.csv",
            &format!("frame;art-width;art-height\nSea;{text};900\n"),
        );
        assert!(
            found.len() == 1 && found[0].contains("is not a length: it may be"),
            "{text} {found:?}"
        );
    }
    // Three decimals of an inch are eighths.
    let list = "frame;art-width;art-height\nSea;10,125;12.375\n";
    let job = of_frames("", "list.csv", list).load(Boards::NotNeeded);
    let (job, _) = job.unwrap_or_else(|faults| panic!("{:#?}", told(&faults)));
    let size = |nm: i64| Length::from_nm(nm);
    let wanted = Outline::Rectangle {
        width: size(257_175_000),
        height: size(314_325_000),
    };
    assert_eq!(job.frames[0].art, wanted);
}

#[test]
fn a_currency_in_a_heading_is_that_of_the_prices_below() {
    let list = "Item,Length (ft),Price (\u{20ac})\noak,8,14.00\n";
    let (_, said) = prices("currency = \"USD\"", list);
    assert!(
        said.iter()
            .any(|said| said.contains("`\u{20ac}` is another currency than `USD`")),
        "{said:?}"
    );
    assert_eq!(prices("currency = \"EUR\"", list).0, ["1400"]);
    let list = "Item,Length (ft),Price ($/ft)\noak,8,1.40\npine,8,\u{20ac}1.40\n";
    let (_, said) = prices("", list);
    assert!(
        said.iter()
            .any(|said| said.contains("`\u{20ac}` is another currency than `$`")),
        "{said:?}"
    );
}

#[test]
fn a_decimal_comma_in_the_job_file() {
    let job = "unit = \"cm\"\n[[frames]]\nframe = \"Sea\"\nart-width = \"25,4\"\nart-height = \"30,48 cm\"\n[[mouldings]]\nname = \"plain\"\nface-width = \"2,5 cm\"\n";
    let folder = Folder::of(job, "x", "");
    assert!(read_as(&folder, &["Sea x1 254.0x304.8"]).is_empty());
    let folder = Folder::of(&job.replace("30,48 cm", "1,200 cm"), "x", "");
    let found = faults(&folder, Boards::NotNeeded);
    assert!(
        found.len() == 1 && found[0].contains("`1,200 cm` is not a length"),
        "{found:?}"
    );
}

#[test]
fn what_is_no_text_is_refused() {
    let found = faults(
        &of_frames("", "list.csv", b"\x7fELF\0\0\0\x01".to_vec()),
        Boards::NotNeeded,
    );
    assert!(
        found[0].starts_with("list.csv: error: the file is not text (E003)"),
        "{found:?}"
    );
    let found = faults(&of_frames("", "list.csv", "a,b\n1,2\n"), Boards::NotNeeded);
    assert!(found[0].contains("this is no such table"), "{found:?}");
    let found = faults(
        &of_frames("", "list.xlsx", b"PK\x03\x04".to_vec()),
        Boards::NotNeeded,
    );
    assert!(
        found[0].starts_with("job.toml, line 2: error: the workbook cannot be read: "),
        "{found:?}"
    );
}

/// A workbook as one program or another would have it.
fn workbook() -> Result<Vec<u8>, XlsxError> {
    let mut book = Workbook::new();
    let sheet = book.add_worksheet().set_name("Pictures")?;
    sheet.merge_range(0, 0, 0, 3, "Spring show", &Format::new())?;
    for (column, heading) in ["Title", "Width (in)", "Height (in)", "Qty", "Note"]
        .into_iter()
        .enumerate()
    {
        sheet.write(2, u16::try_from(column).unwrap_or_default(), heading)?;
    }
    let sixteenths = Format::new().set_num_format("# ??/16");
    let rows = [
        ("Sea", 10.0, 12.0, 1),
        ("Dune", 8.0, 10.0, 2),
        ("Heron", 5.062_499_9, 7.1, 1),
    ];
    for (row, (name, width, height, quantity)) in (3..).zip(rows) {
        sheet.write(row, 0, name)?;
        sheet.write_with_format(row, 1, width, &sixteenths)?;
        sheet.write(row, 2, height)?;
        sheet.write(row, 3, quantity)?;
    }
    sheet.write(7, 0, "Total")?;
    sheet.write(7, 3, Formula::new("SUM(D4:D6)").set_result("4"))?;
    let sheet = book.add_worksheet().set_name("Boards, oak")?;
    for (column, heading) in ["Name", "Length", "Price"].into_iter().enumerate() {
        sheet.write(0, u16::try_from(column).unwrap_or_default(), heading)?;
    }
    let dollars = Format::new().set_num_format("\"$\"#,##0.00");
    sheet.write(1, 0, "oak 8")?;
    sheet.write(1, 1, 96)?;
    // A price that was worked out: the cell shows 18.92.
    sheet.write_with_format(1, 2, 18.9189, &dollars)?;
    book.save_to_buffer()
}

#[test]
fn a_workbook_is_read_by_sheet_as_its_cells_show_it() {
    let book = workbook().expect("a workbook can be made");
    let job =
        format!("frames = \"show.xlsx#Pictures\"\nboards = \"show.xlsx#Boards, oak\"\n{MOULDING}");
    let folder = Folder::of(&job, "show.xlsx", book.clone());
    let (job, said) = folder
        .load(Boards::Needed)
        .unwrap_or_else(|faults| panic!("{:#?}", told(&faults)));
    // 5.0624999 in shows as 5 1/16, 7.1 in is as typed.
    let heron = Outline::Rectangle {
        width: Length::from_nm(128_587_500),
        height: Length::from_nm(180_340_000),
    };
    assert_eq!(job.frames[2].art, heron);
    assert_eq!(
        job.boards[0].price,
        Some(Price::Each(Money::from_minor(1892)))
    );
    assert_eq!(
        told(&said),
        [
            "show.xlsx#Pictures: note: the headings are in line 3; `Title` is read as `frame`; `Width (in)` is read as `art-width` in \
          in; `Height (in)` is read as `art-height` in in; not read: `Note`; no data in lines 1, 8 (N001)"
        ]
    );
    // The text of a sheet is kept in a plan, and read again from there.
    let text = table_text(Path::new("show.xlsx#Pictures"), &book).expect("a text");
    assert!(text.contains("\nSea,10,12,1,\n"), "{text}");
    let again = of_frames("", "show.xlsx#Pictures", text).load(Boards::NotNeeded);
    let (again, _) = again.unwrap_or_else(|faults| panic!("{:#?}", told(&faults)));
    assert_eq!(again.frames, job.frames);
    // A sheet must be named where there are two.
    let found = faults(&of_frames("", "show.xlsx", book.clone()), Boards::NotNeeded);
    assert_eq!(
        found,
        [
            "job.toml, line 2: error: the workbook has 2 sheets with something in them (E029); name one, as in \
          `show.xlsx#Pictures`: `Pictures`, `Boards, oak`"
        ]
    );
    let found = faults(
        &of_frames("", "show.xlsx#Pcitures", book),
        Boards::NotNeeded,
    );
    assert!(
        found[0].contains(
            "the workbook has no sheet `Pcitures` (E029); its sheets are `Pictures`, `Boards, oak`"
        ),
        "{found:?}"
    );
}

/// A sheet of pictures that fills in what is asked for.
fn sheet(
    fill: impl FnOnce(&mut rust_xlsxwriter::Worksheet) -> Result<(), XlsxError>,
) -> Result<Vec<u8>, XlsxError> {
    let mut book = Workbook::new();
    let sheet = book.add_worksheet();
    for (column, heading) in ["frame", "art-width", "art-height", "quantity", "moulding"]
        .into_iter()
        .enumerate()
    {
        sheet.write(0, u16::try_from(column).unwrap_or_default(), heading)?;
    }
    for (row, (name, width, height, quantity)) in
        (1..).zip([("Sea", 10.0, 12.0, 1), ("Dune", 8.0, 10.0, 2)])
    {
        sheet.write(row, 0, name)?;
        sheet.write(row, 1, width)?;
        sheet.write(row, 2, height)?;
        sheet.write(row, 3, quantity)?;
    }
    fill(sheet)?;
    book.save_to_buffer()
}

fn of_sheet(fill: impl FnOnce(&mut rust_xlsxwriter::Worksheet) -> Result<(), XlsxError>) -> Folder {
    of_frames(
        "",
        "list.xlsx",
        sheet(fill).expect("a workbook can be made"),
    )
}

#[test]
fn hidden_rows_of_a_workbook_are_read_and_said() {
    let folder = of_sheet(|sheet| {
        sheet.set_row_hidden(2)?;
        // Nothing stands there.
        sheet.set_row_hidden(7)?;
        Ok(())
    });
    assert_eq!(
        read_as(&folder, &SEA),
        ["list.xlsx: note: rows that are hidden are read too: 3 (N001)"]
    );
}

#[test]
fn cells_merged_downward_are_read_in_each_row_but_a_quantity() {
    let folder = of_sheet(|sheet| {
        sheet.merge_range(1, 4, 3, 4, "plain", &Format::new())?;
        Ok(())
    });
    let said = read_as(&folder, &SEA);
    assert_eq!(
        said,
        ["list.xlsx: note: cells that are merged with those below are read in each row: E2 (N001)"]
    );
    let folder = of_sheet(|sheet| {
        sheet.merge_range(1, 3, 2, 3, "", &Format::new())?;
        sheet.write(1, 3, 3)?;
        Ok(())
    });
    assert_eq!(
        faults(&folder, Boards::NotNeeded),
        [
            "list.xlsx, cell D2, column `quantity`: error: one number stands in a cell that is merged over lines 2 to 3 \
             (E016); take the cell apart, and write how many are meant into each row"
        ]
    );
}

#[test]
fn columns_beyond_the_limit_are_told() {
    let folder = of_sheet(|sheet| {
        sheet.write(1, 256, "far")?;
        Ok(())
    });
    assert_eq!(
        read_as(&folder, &SEA),
        ["list.xlsx: note: not read: what is right of column IV (N001)"]
    );
}

#[test]
fn numbers_of_a_workbook_and_its_texts_have_marks_of_their_own() {
    let boards = |texts: [&str; 2]| {
        let mut book = Workbook::new();
        let sheet = book.add_worksheet();
        let fill = |sheet: &mut rust_xlsxwriter::Worksheet| -> Result<(), XlsxError> {
            for (column, heading) in (0..).zip(["board", "length", "price"]) {
                sheet.write(0, column, heading)?;
            }
            for (row, (length, price)) in (1..).zip([(96.125, texts[0]), (48.5, texts[1])]) {
                sheet.write(row, 0, format!("b{row}"))?;
                sheet.write(row, 1, length)?;
                sheet.write(row, 2, price)?;
            }
            sheet.write(3, 0, "b3")?;
            sheet.write(3, 1, 72)?;
            sheet.write(3, 2, 1234.5)?;
            Ok(())
        };
        fill(sheet).expect("cells can be written");
        book.save_to_buffer().expect("a workbook can be made")
    };
    let job = "boards = \"boards.xlsx\"\n[[pieces]]\npiece = \"p\"\nlength = \"10 in\"\n";
    let read = |bytes: &[u8], name: &str| {
        let job = job.replace("boards.xlsx", name);
        let loaded = Folder::of(&job, name, bytes.to_vec()).load(Boards::Needed);
        loaded.map(|(job, _)| {
            let boards = job.boards.iter();
            let told = boards.map(|board| (board.length.nm(), board.price));
            told.collect::<Vec<_>>()
        })
    };
    let each = |minor| Some(Price::Each(Money::from_minor(minor)));
    let lengths = [2_441_575_000, 1_231_900_000, 1_828_800_000];
    for texts in [["18,90", "1.450"], ["18.90", "1,450"]] {
        let book = boards(texts);
        let found =
            read(&book, "boards.xlsx").unwrap_or_else(|faults| panic!("{:#?}", told(&faults)));
        let wanted: Vec<_> = lengths
            .into_iter()
            .zip([each(1_890), each(145_000), each(123_450)])
            .collect();
        assert_eq!(found, wanted, "{texts:?}");
        // A plan keeps the text of the sheet, which is read alike.
        let text = table_text(Path::new("boards.xlsx"), &book).expect("a text");
        let again = read(text.as_bytes(), "boards.xlsx");
        assert_eq!(
            again.unwrap_or_else(|faults| panic!("{:#?}", told(&faults))),
            wanted,
            "{text}"
        );
    }
    // Numbers tell nothing of how a text is meant.
    let Err(found) = read(&boards(["20", "1,450"]), "boards.xlsx") else {
        panic!("a number of two readings is taken for one");
    };
    assert!(
        told(&found)[0].contains("cell C3, column `price`: error: `1,450` is not a price"),
        "{:?}",
        told(&found)
    );
}

/// A sheet of `OpenDocument` with these rows.
fn ods(rows: &str) -> Vec<u8> {
    use std::io::{Cursor, Write as _};
    let content = format!(
        "<?xml version=\"1.0\"?><office:document-content \
         xmlns:office=\"urn:oasis:names:tc:opendocument:xmlns:office:1.0\" \
         xmlns:table=\"urn:oasis:names:tc:opendocument:xmlns:table:1.0\" \
         xmlns:text=\"urn:oasis:names:tc:opendocument:xmlns:text:1.0\" office:version=\"1.3\"><office:body>\
         <office:spreadsheet><table:table table:name=\"A &amp; B\">{rows}</table:table></office:spreadsheet></office:body>\
         </office:document-content>"
    );
    let manifest = "<?xml version=\"1.0\"?><manifest:manifest \
        xmlns:manifest=\"urn:oasis:names:tc:opendocument:xmlns:manifest:1.0\"/>";
    let mut packed = zip::ZipWriter::new(Cursor::new(Vec::new()));
    for (name, text) in [
        ("mimetype", "application/vnd.oasis.opendocument.spreadsheet"),
        ("META-INF/manifest.xml", manifest),
        ("content.xml", &content),
    ] {
        packed
            .start_file(name, zip::write::SimpleFileOptions::default())
            .expect("a file begins");
        packed
            .write_all(text.as_bytes())
            .expect("a file is written");
    }
    packed.finish().expect("an archive is made").into_inner()
}

#[test]
fn hidden_rows_and_merged_cells_of_opendocument() {
    let text = |text: &str| {
        format!(
            "<table:table-cell office:value-type=\"string\"><text:p>{text}</text:p></table:table-cell>"
        )
    };
    let number = |value: &str| {
        format!(
            "<table:table-cell office:value-type=\"float\" office:value=\"{value}\"><text:p>{value}</text:p></table:table-cell>"
        )
    };
    let heads = ["frame", "art-width", "art-height", "quantity", "moulding"]
        .map(text)
        .concat();
    let merged = text("plain").replacen(
        "<table:table-cell",
        "<table:table-cell table:number-rows-spanned=\"2\"",
        1,
    );
    let rows = format!(
        "<table:table-row>{heads}</table:table-row>\
         <table:table-row>{}{}{}{}{merged}</table:table-row>\
         <table:table-row table:visibility=\"filter\">{}{}{}{}<table:covered-table-cell/></table:table-row>\
         <table:table-row table:number-rows-repeated=\"1048573\" table:visibility=\"collapse\"><table:table-cell/></table:table-row>",
        text("Sea"),
        number("10"),
        number("12"),
        number("1"),
        text("Dune"),
        number("8"),
        number("10"),
        number("2"),
    );
    assert_eq!(
        read_as(&of_frames("", "list.ods", ods(&rows)), &SEA),
        [
            "list.ods: note: rows that are hidden are read too: 3; cells that are merged with those below are read in each \
             row: E2 (N001)"
        ]
    );
}

#[test]
fn a_workbook_of_openpyxl() {
    let book = include_bytes!("lists/pictures.xlsx");
    let folder = of_frames("", "pictures.xlsx#Pictures", book.to_vec());
    let wanted = [
        "Net mender x1 300.0x405.0",
        "Low tide x2 242.5x180.0",
        "\u{c5}se's boat x1 203.0x200.0",
    ];
    let said = read_as(&folder, &wanted);
    assert!(
        said[0].contains("`Art Width (cm)` is read as `art-width` in cm"),
        "{said:?}"
    );
    assert!(
        said[0].ends_with("not read: `Hung at`; no data in lines 1, 3, 9 (N001)"),
        "{said:?}"
    );
    let job = "boards = \"pictures.xlsx#boards at the yard\"\n[[pieces]]\npiece = \"p\"\nlength = \"10 in\"\n";
    let (job, said) = Folder::of(job, "pictures.xlsx", book.to_vec())
        .load(Boards::Needed)
        .unwrap_or_else(|faults| panic!("{:#?}", told(&faults)));
    // 2.125 shows as $2.13.
    let cents = |minor| {
        Some(Price::PerLength {
            money: Money::from_minor(minor),
            per: Length::FOOT,
        })
    };
    assert_eq!(
        job.boards
            .iter()
            .map(|board| board.price)
            .collect::<Vec<_>>(),
        [cents(250), cents(213)]
    );
    assert_eq!(said.len(), 1);
}

#[test]
fn a_workbook_of_odfpy_with_a_fraction_that_became_a_date() {
    let book = include_bytes!("lists/bilder.ods");
    let found = faults(
        &of_frames("", "bilder.ods", book.to_vec()),
        Boards::NotNeeded,
    );
    assert_eq!(found.len(), 1, "{found:?}");
    assert!(
        found[0].starts_with(
            "bilder.ods, cell B4, column `Breite [mm]`: error: `2026-08-05` is a date, not a length"
        ),
        "{found:?}"
    );
    let text = table_text(Path::new("bilder.ods"), book).expect("a text");
    let text = text.replace("2026-08-05", "250.5");
    let wanted = [
        "Netzflicker x1 300.0x405.5",
        "Ebbe x2 242.5x180.0",
        "Boot x1 250.5x200.0",
    ];
    read_as(&of_frames("", "bilder.csv", text), &wanted);
}

#[test]
fn a_formula_that_nobody_has_computed_is_not_taken_for_nothing() {
    let book = include_bytes!("lists/pictures.xlsx");
    let folder = of_frames("", "pictures.xlsx#Computed", book.to_vec());
    assert_eq!(
        faults(&folder, Boards::NotNeeded),
        [
            "pictures.xlsx#Computed, cell D2, column `quantity`: error: `=1+1` is not a whole number (E016)"
        ]
    );
}

#[test]
fn forms_of_five_countries_are_one_plan() {
    let forms = [
        (
            "unit = \"mm\"\ncurrency = \"X\"",
            "frame,art-width,art-height\nSea,254.5,304.8\n",
            "board,length,price\nA,2400,\"1,234.50\"\nB,1800,18.90\n",
        ),
        (
            "unit = \"mm\"\ncurrency = \"X\"",
            "Titel;Breite;H\u{f6}he\r\nSea;254,5;304,8\r\n",
            "board;L\u{e4}nge;Preis\r\nA;2400;1.234,50\r\nB;1800;18,90\r\n",
        ),
        (
            "unit = \"mm\"\ncurrency = \"X\"",
            "Titre;Largeur;Hauteur\nSea;254,5;304,8\n",
            "board;longueur;prix\nA;2400;1\u{202f}234,50\nB;1800;18,90\n",
        ),
        (
            "unit = \"mm\"\ncurrency = \"X\"",
            "Title\tWidth\tHeight\nSea\t254.5\t304.8\n",
            "board\tlength\tcost\nA\t2400\t1 234.50\nB\t1800\t18.90\n",
        ),
        (
            "unit = \"mm\"\ncurrency = \"X\"",
            "Titel;Breite (cm);H\u{f6}he (cm)\nSea;25.45;30.48\n",
            "board;L\u{e4}nge;Preis\nA;2400;1'234.50\nB;1800;X 18.90\n",
        ),
    ];
    let mut plans = Vec::new();
    for (head, frames, boards) in forms {
        let job =
            format!("{head}\ntitle = \"Show\"\nframes = \"f.csv\"\nboards = \"b.csv\"\n{MOULDING}");
        let mut folder = Folder::of(&job, "f.csv", frames);
        folder
            .0
            .insert(PathBuf::from("b.csv"), boards.as_bytes().to_vec());
        let (job, _) = folder
            .load(Boards::Needed)
            .unwrap_or_else(|faults| panic!("{:#?}", told(&faults)));
        assert_eq!(job.display.unit, Unit::Millimeter);
        let planned = crate::jobs::planned(&job);
        plans.push(longpoint::planfile::PlanFile::of(&planned).text());
    }
    for plan in &plans[1..] {
        assert_eq!(plan, &plans[0]);
    }
}

#[test]
fn the_desk_sizes_a_list_with_titles_and_a_total() {
    let list = "Spring show,,,\nTitle,W,H,Qty\nSea,10,12,1\nDune,8,10,2\n,,,\nTotal,,,3\n";
    let desk = Desk::open(Path::new("job.toml"), &of_frames("", "list.csv", list));
    let table = desk.table_of("frames").expect("the list is a table");
    assert_eq!(
        desk.tables[table].rows.len(),
        4,
        "a row of separators is one to be filled"
    );
    assert_eq!(desk.tables[table].unread, [3].into());
    let sizes = desk.sizes.expect("all frames can be sized");
    assert_eq!(sizes.rows, [(table, 0), (table, 1)]);
    let book = of_frames(
        "",
        "pictures.xlsx#Pictures",
        include_bytes!("lists/pictures.xlsx").to_vec(),
    );
    let desk = Desk::open(Path::new("job.toml"), &book);
    assert_eq!(desk.sizes.map(|sizes| sizes.rows.len()), Some(3));
}
