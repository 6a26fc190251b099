//! One job in the lists of five countries.

use std::fs;
use std::path::Path;

use serde_json::Value;

use crate::command::{longpoint, text};

/// How one country writes the lists of the job.
struct Country {
    name: &'static str,
    currency: &'static str,
    frames: &'static str,
    boards: &'static str,
    bytes: fn(&str) -> Vec<u8>,
    /// How the tables that are written begin, and a length in them.
    written: (&'static str, &'static str),
}

/// Windows-1252, of which these lists use the letters of Latin-1, the euro, and no more.
fn windows_1252(text: &str) -> Vec<u8> {
    let byte = |symbol: char| match symbol {
        '\u{20ac}' => 0x80,
        symbol => u8::try_from(u32::from(symbol)).unwrap(),
    };
    text.chars().map(byte).collect()
}

fn utf8_with_mark(text: &str) -> Vec<u8> {
    format!("\u{feff}{text}").into_bytes()
}

fn utf16(text: &str) -> Vec<u8> {
    let units = "\u{feff}".encode_utf16().chain(text.encode_utf16());
    units.flat_map(u16::to_le_bytes).collect()
}

/// 14 1/8 in are 358.775 mm, 11 in 279.4 mm, 8 1/2 in 215.9 mm, 10 ft 3048 mm, by 25.4 mm to the inch (NIST Handbook 44,
/// appendix C).
const COUNTRIES: [Country; 5] = [
    Country {
        name: "Germany",
        currency: "EUR",
        frames: "Titel;Breite (cm);H\u{f6}he (cm);Anzahl\r\nM\u{f6}we;35,8775;27,94;2\r\nD\u{fc}ne;21,59;27,94;1\r\nSumme;;;3\r\n",
        boards: "Artikel;L\u{e4}nge (mm);Preis\r\nEiche kurz;1524;18,90 \u{20ac}\r\nEiche lang;3048;1.234,50 \u{20ac}\r\n",
        bytes: windows_1252,
        written: ("\u{feff}mark;board;", ";358,775;"),
    },
    Country {
        name: "France",
        currency: "EUR",
        frames: "Titre;Largeur (mm);Hauteur (mm);Quantit\u{e9}\r\nM\u{f6}we;358,775;279,4;2\r\nD\u{fc}ne;215,9;279,4;1\r\n",
        boards: "Planche;Longueur (m);Prix\r\nEiche kurz;1,524;18,90\u{a0}\u{20ac}\r\nEiche lang;3,048;1\u{202f}234,50\u{202f}\u{20ac}\r\n",
        bytes: utf8_with_mark,
        written: ("\u{feff}mark;board;", ";358,775;"),
    },
    Country {
        name: "Britain",
        currency: "GBP",
        frames: "Title,Width (mm),Height (mm),Qty\r\nM\u{f6}we,358.775,279.4,2\r\nD\u{fc}ne,215.9,279.4,1\r\nTotal,,,3\r\n",
        boards: "Item,Length (mm),Price\r\nEiche kurz,1524,\u{a3}18.90\r\nEiche lang,3048,\"\u{a3}1,234.50\"\r\n",
        bytes: utf8_with_mark,
        written: ("\u{feff}mark,board,", ",358.775,"),
    },
    Country {
        name: "America",
        currency: "USD",
        frames: "Title,W (in),H (in),Qty\nM\u{f6}we,14 1/8,11,2\nD\u{fc}ne,8 1/2,11,1\n",
        boards: "Item,Length,Price each\nEiche kurz,5',$18.90\nEiche lang,10',\"$1,234.50\"\n",
        bytes: |text| text.as_bytes().to_vec(),
        written: ("mark,board,", ",358.775,"),
    },
    Country {
        name: "Switzerland",
        currency: "CHF",
        frames: "Titel\tBreite (mm)\tH\u{f6}he (mm)\tAnzahl\r\nM\u{f6}we\t358.775\t279.4\t2\r\nD\u{fc}ne\t215.9\t279.4\t1\r\n",
        boards: "Artikel\tL\u{e4}nge (cm)\tPreis\r\nEiche kurz\t152.4\tCHF 18.90\r\nEiche lang\t304.8\tFr. 1'234.50\r\n",
        bytes: utf16,
        written: ("\u{feff}mark\tboard\t", "\t358.775\t"),
    },
];

/// What is planned: the plan file without the files that it was made from and without the name of the currency, of which
/// each country has its own.
fn planned(folder: &Path, country: &Country) -> String {
    fs::write(
        folder.join("job.toml"),
        format!(
            "title = \"Five countries\"\nunit = \"mm\"\ncurrency = \"{}\"\nframes = \"frames.csv\"\nboards = \"boards.csv\"\n\
             [saw]\nkerf = 3\nend-trim = 10\n[[mouldings]]\nname = \"cap\"\nface-width = 30\n",
            country.currency
        ),
    )
    .unwrap();
    fs::write(folder.join("frames.csv"), (country.bytes)(country.frames)).unwrap();
    fs::write(folder.join("boards.csv"), (country.bytes)(country.boards)).unwrap();
    let output = longpoint(folder, &["plan", "job.toml", "--out", "out"]);
    assert!(
        output.status.success(),
        "{}: {}",
        country.name,
        text(&output.stderr)
    );
    let plan = fs::read_to_string(folder.join("out/plan.json")).unwrap();
    let mut plan: Value = serde_json::from_str(&plan).unwrap();
    let root = plan.as_object_mut().unwrap();
    assert!(root.remove("sources").is_some(), "{:?}", root.keys());
    let named = plan
        .to_string()
        .matches(&format!("\"{}\"", country.currency))
        .count();
    assert_eq!(named, 1, "{}", country.name);
    plan.to_string().replace(country.currency, "currency")
}

#[test]
fn the_lists_of_five_countries_give_one_plan() {
    let plans = COUNTRIES.iter().map(|country| {
        let folder = tempfile::tempdir().unwrap();
        let plan = planned(folder.path(), country);
        let cuts = fs::read_to_string(folder.path().join("out/cut-list.csv")).unwrap();
        let (begins, length) = country.written;
        assert!(cuts.starts_with(begins), "{}: {cuts}", country.name);
        // The outside of a rail is longer than the art, so no cut is just as long; the sizes have it.
        let sizes = fs::read_to_string(folder.path().join("out/frame-sizes.csv")).unwrap();
        assert!(sizes.contains(length), "{}: {sizes}", country.name);
        // The plan alone, with the texts it carries, writes the same tables.
        let output = longpoint(folder.path(), &["verify", "job.toml", "out/plan.json"]);
        assert!(
            output.status.success(),
            "{}: {}",
            country.name,
            text(&output.stdout)
        );
        plan
    });
    let plans: Vec<String> = plans.collect();
    assert!(
        plans[0].contains("123450") && plans[0].contains("358775000"),
        "{}",
        plans[0]
    );
    for (plan, country) in plans.iter().zip(&COUNTRIES) {
        assert_eq!(plan, &plans[0], "{}", country.name);
    }
}
