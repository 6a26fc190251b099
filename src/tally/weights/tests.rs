use super::names::folded;
use super::*;
use crate::frame::Sheet;
use crate::job::Job;
use crate::length::Length;
use crate::samples::{empty_job, frame, in64, inches, millimeters, moulding, rectangle};
use crate::tally::sized_frames;

/// A package of 16 x 20 in a moulding 2 in wide and 13/16 in thick, its rabbet 1/4 by 1/2 in.
fn cherry() -> Job {
    let mut job = empty_job();
    let mut cap = moulding("cap", inches(2), Some("cherry"));
    cap.thickness = Some(in64(52));
    cap.rabbet_depth = Some(in64(32));
    job.mouldings = vec![cap];
    job.frames = vec![frame("Dunes", 1, rectangle(16, 20), 0)];
    job
}

fn weight(job: &Job) -> FrameWeight {
    frame_weight(&sized_frames(job)[0])
}

#[test]
fn wood_is_its_volume_less_the_rabbet() {
    // Derived: long points 19-5/8 and 23-5/8, P 86-1/2. V = F T (P - 4 F) - L D (P - 8 F + 4 L)
    // = 2 * 13/16 * 78.5 - 1/4 * 1/2 * 71.5 = 127.5625 - 8.9375 = 118.625 cu in = 1943.9155... cu cm
    // (16.387064 each); at 0.560 g a cu cm 1088.6 g; 1088.6 / 453.59237 = 2.3999 lb.
    let cherry_frame = weight(&cherry());
    assert_eq!(cherry_frame.without, []);
    assert_eq!(cherry_frame.known.grams(), 1_089);
    assert_eq!(cherry_frame.known.tenths_of_pounds(), 24);
    // Derived: 1943.9155 * 0.762 = 1481.3 g; without the depth of the rabbet 127.5625 * 16.387064 * 0.762 = 1592.9 g.
    let mut job = cherry();
    job.mouldings[0].material = Some("White Oak".to_owned());
    assert_eq!(weight(&job).known.grams(), 1_482);
    job.mouldings[0].rabbet_depth = None;
    assert_eq!(weight(&job).known.grams(), 1_593);
}

#[test]
fn a_dust_cover_from_a_sheet_is_weighed_as_paper_unless_its_name_tells_otherwise() {
    let mut job = cherry();
    job.mouldings[0].material = None;
    job.dust_cover = Some(Sheet {
        name: "kraft".to_owned(),
        thickness: Length::from_nm(100_000),
    });
    // Derived: 19-3/8 * 23-3/8 sq in = 0.2921869 sq m of 0.1 mm: 0.0233750 kg at 800 kg/m3.
    assert_eq!(weight(&job).known.grams(), 24);
    // Derived: 3 mm of hardboard: 0.2921869 * 0.003 * 1000 = 0.87656 kg.
    job.dust_cover = Some(Sheet {
        name: "hardboard".to_owned(),
        thickness: millimeters(3),
    });
    assert_eq!(weight(&job).known.grams(), 877);
    // A tray stays open.
    job.frames[0].holding = crate::frame::Holding::Tray { gap: in64(16) };
    assert_eq!(weight(&job).known.grams(), 0);
}

#[test]
fn sheets_are_their_face_by_their_thickness() {
    let mut job = cherry();
    job.mouldings[0].material = None;
    let sheet = |name: &str, thickness| {
        Some(Sheet {
            name: name.to_owned(),
            thickness,
        })
    };
    // Derived: 16 * 20 sq in = 0.2064512 sq m. Glass 3/32 in: 0.2064512 * 0.00238125 * 2500 = 1.22903 kg.
    job.frames[0].glazing = sheet("picture glass", in64(6));
    let glass = weight(&job);
    assert_eq!(glass.without, [Unweighed::Wood]);
    assert_eq!(glass.known.grams(), 1_230);
    // Derived: acrylic 1/8 in: 0.2064512 * 0.003175 * 1190 = 0.78002 kg = 1.7197 lb.
    job.frames[0].glazing = sheet("Plexiglass UV", in64(8));
    assert_eq!(weight(&job).known.grams(), 781);
    assert_eq!(weight(&job).known.tenths_of_pounds(), 18);
    // Derived: foam board 5 mm: 0.2064512 * 0.6 = 0.12387 kg beside it, 0.90389 in all.
    job.frames[0].backing = sheet("foam board", millimeters(5));
    assert_eq!(weight(&job).known.grams(), 904);
    job.frames[0].backing = sheet("honeycomb", millimeters(5));
    let unknown = weight(&job);
    assert_eq!(unknown.without, [Unweighed::Wood, Unweighed::Backing]);
    assert_eq!(unknown.known.grams(), 781);
}

#[test]
fn a_polygon_of_glass_is_weighed_by_its_face() {
    let mut job = empty_job();
    job.mouldings = vec![moulding("cap", inches(2), None)];
    let hexagon = Outline::of_side(6, millimeters(200));
    job.frames = vec![frame("Mirror", 1, hexagon, 0)];
    job.frames[0].glazing = Some(Sheet {
        name: "glass".to_owned(),
        thickness: millimeters(3),
    });
    // Derived: 3 sqrt 3 / 2 * 0.2^2 = 0.1039230 sq m, at 7.5 kg a sq m 779.42 g.
    assert_eq!(weight(&job).known.grams(), 780);
}

#[test]
fn names_tell_what_a_sheet_or_a_board_is() {
    assert_eq!(SheetKind::of("Museum glass 2.5"), Some(SheetKind::Glass));
    assert_eq!(SheetKind::of("acrylic glass"), Some(SheetKind::Acrylic));
    assert_eq!(SheetKind::of("3 mm MDF"), Some(SheetKind::Mdf));
    assert_eq!(SheetKind::of("felt"), None);
    assert_eq!(wood_density("quarter-sawn white oak"), Some(762));
    assert_eq!(wood_density("yellow-poplar"), Some(470));
    assert_eq!(wood_density("Washed pine"), None);
}

#[test]
fn german_and_french_names_weigh_as_the_woods_and_sheets_they_mean() {
    // What the English name weighs, or where the European wood is the heavier one, that: DIN 68364, from memory.
    let woods = [
        (&["Nussbaum", "Nußbaum geölt", "noyer"][..], 670),
        (
            &["Eiche", "Eichenholz", "Eiche, natur", "chêne massif"],
            762,
        ),
        (&["Roteiche", "Chêne rouge"], 706),
        (&["Kirsche", "Kirschbaum", "merisier"], 600),
        (&["Ahorn", "Bergahorn", "érable"], 706),
        (&["Buche", "Rotbuche", "hêtre"], 717),
        (&["Esche", "frêne"], 700),
        (&["Linde", "tilleul"], 530),
        (&["Kiefer", "Kiefernholz", "pin sylvestre"], 520),
        (&["Fichte", "épicéa"], 460),
        (&["Lärche", "Laerche", "mélèze"], 600),
    ];
    for (names, density) in woods {
        for name in names {
            assert_eq!(wood_density(name), Some(density), "{name}");
        }
    }
    let compounds = [
        (
            &["Räuchereiche", "Mooreichenholz", "Weißeiche", "oakwood"][..],
            762,
        ),
        (&["Weißesche", "Kerneschenholz"], 700),
        (&["ashwood"], 672),
        (&["Kernbuche", "beechwood"], 717),
        (&["Hainbuche", "Weißbuche"], 830),
        (&["Riegelahorn", "maplewood"], 706),
        (&["Maserbirke"], 694),
        (&["Vogelkirsche"], 600),
        (&["sapele", "Sapelli-Mahagoni", "acajou sapelli"], 690),
        (&["African mahogany", "Mahagoni", "acajou"], 640),
        (&["obeche", "Ayous"], 400),
        (&["ramin", "Ramin lackiert"], 670),
        (&["teak", "Teakholz"], 690),
    ];
    for (names, density) in compounds {
        for name in names {
            assert_eq!(wood_density(name), Some(density), "{name}");
        }
    }
    // A soft wood is no oak, what is pressed of many is no wood, and part of a word is none of these.
    for name in [
        "weiches Holz",
        "weiche Faser",
        "gleiche Leiste",
        "Preßspan",
        "washed",
        "ashen gray",
        "Eberesche",
        "birches",
        "soaked",
        "Perle",
        "steaks",
        "ceramin",
    ] {
        assert_eq!(wood_density(name), None, "{name}");
    }
    // Accents as marks of their own: e and a circumflex, a and two dots.
    assert_eq!(wood_density("che\u{302}ne"), Some(762));
    assert_eq!(wood_density("La\u{308}rche"), Some(600));
    assert_eq!(
        folded("Façade à l\u{2019}Œuvre, côté sûr"),
        " facade a l oeuvre cote sur "
    );
    assert_eq!(folded("nai\u{308}f gru\u{308}n"), " naif gruen ");
    let sheets = [
        ("Bilderglas", SheetKind::Glass),
        ("Museumsglas 2,5 mm", SheetKind::Glass),
        ("verre", SheetKind::Glass),
        ("Acrylglas", SheetKind::Acrylic),
        ("verre acrylique", SheetKind::Acrylic),
        ("Passepartoutkarton", SheetKind::MatBoard),
        ("Passe-partout 1,4", SheetKind::MatBoard),
        ("4-ply", SheetKind::MatBoard),
        ("Hartfaserplatte", SheetKind::Hardboard),
        ("Sperrholz", SheetKind::Plywood),
        ("contreplaqué", SheetKind::Plywood),
        ("Hartschaumplatte", SheetKind::RigidFoam),
        ("HDF 3 mm", SheetKind::Hardboard),
        ("Wellpappe säurefrei", SheetKind::Corrugated),
        ("corrugated cardboard", SheetKind::Corrugated),
        ("carton ondulé", SheetKind::Corrugated),
        ("cardboard", SheetKind::MatBoard),
    ];
    for (name, kind) in sheets {
        assert_eq!(SheetKind::of(name), Some(kind), "{name}");
    }
    assert_eq!(SheetKind::of("Glasur"), None);
}

#[test]
fn what_is_not_told_of_a_weight_is_what_it_lacks() {
    let mut job = cherry();
    let sheet = |name: &str| {
        Some(Sheet {
            name: name.to_owned(),
            thickness: millimeters(2),
        })
    };
    job.frames[0].glazing = sheet("TG 70");
    job.frames[0].backing = sheet("Bilderglas");
    let told = |job: &Job| {
        let sized = sized_frames(job);
        untold(&sized[0])
            .into_iter()
            .map(|one| format!("{one:?}"))
            .collect::<Vec<_>>()
    };
    assert_eq!(told(&job), ["Glazing(\"TG 70\")"]);
    assert_eq!(weight(&job).without, [Unweighed::Glazing]);
    job.mouldings[0].material = Some("Zirbe".to_owned());
    job.mouldings[0].thickness = None;
    assert_eq!(
        told(&job),
        [
            "WhichWood(\"Zirbe\")",
            "Thickness(\"cap\")",
            "Glazing(\"TG 70\")"
        ]
    );
    assert_eq!(weight(&job).without, [Unweighed::Wood, Unweighed::Glazing]);
}

#[test]
fn sizes_beyond_any_frame_do_not_overflow() {
    let mut job = cherry();
    let far = Length::LONGEST;
    job.frames[0].art = Outline::Rectangle {
        width: far,
        height: far,
    };
    job.frames[0].glazing = Some(Sheet {
        name: "glass".to_owned(),
        thickness: far,
    });
    assert!(weight(&job).known > Weight::pounds(20));
    assert!(weight(&job).known.tenths_of_pounds() > 0);
}

#[test]
fn of_several_words_in_a_name_the_heaviest_counts_but_none_within_another() {
    for (wood, as_of) in [
        ("beech, cherry stained", "beech"),
        ("Eiche, nussbaum gebeizt", "Eiche"),
        ("eastern white pine", "white pine"),
        ("red oak", "Roteiche"),
        ("MDF, cherry veneer", "MDF"),
        ("poplar and oak", "oak"),
    ] {
        assert_eq!(wood_density(wood), wood_density(as_of), "{wood}");
        assert!(wood_density(wood).is_some(), "{wood}");
    }
    assert!(wood_density("red oak") < wood_density("oak"));
    assert!(wood_density("Brazilian cherry") > wood_density("cherry"));
    for (name, kind) in [
        ("museum glass (not acrylic)", SheetKind::Glass),
        ("Acrylglas 3 mm", SheetKind::Acrylic),
        ("acrylic glass", SheetKind::Acrylic),
        ("Plexiglass", SheetKind::Acrylic),
        ("Kunstglas", SheetKind::Acrylic),
        ("glass with foam spacer", SheetKind::Glass),
        ("2-ply laminated glass", SheetKind::Glass),
        ("PVC-Hartschaum", SheetKind::RigidFoam),
        ("hardboard on foam", SheetKind::Hardboard),
        ("4-ply plywood", SheetKind::Plywood),
        ("4-ply rag", SheetKind::MatBoard),
        ("glassine", SheetKind::Paper),
    ] {
        assert_eq!(SheetKind::of(name), Some(kind), "{name}");
    }
}
