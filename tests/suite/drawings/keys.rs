//! Corner keys, frames from the front, stacks and bars, read back: everything to its scale.

use longpoint::frame::{Borders, Miter, Opening, Outline, Window};
use longpoint::job::{Display, TableForm};
use longpoint::length::{Length, Unit};
use longpoint::money::Currency;
use longpoint::paper::svg::bars::{Share, Use, WayBar, use_of_wood, ways};
use longpoint::paper::svg::corner::{Key, Point, corner};
use longpoint::paper::svg::frame::{Front, front};
use longpoint::paper::svg::section::{Stack, section};
use longpoint::stations::{Layer, LayerKind};
use roxmltree::{Document as Xml, Node};

use super::{Corners, NEAR, hostile, mm, numbers, rectangle, with_class};

fn in64(sixty_fourths: i64) -> Length {
    Length::from_nm(396_875 * sixty_fourths)
}

fn display() -> Display {
    Display {
        unit: Unit::Inch,
        step: in64(2),
        currency: Currency {
            code: "USD".to_owned(),
            decimals: 2,
        },
        tables: TableForm::default(),
    }
}

fn near(one: f64, other: f64) {
    assert!((one - other).abs() <= NEAR, "{one} is not {other}");
}

fn corners(node: Node<'_, '_>) -> Corners {
    let numbers = numbers(node.attribute("points").unwrap());
    numbers.chunks(2).map(|pair| (pair[0], pair[1])).collect()
}

fn polygons(svg: &str, class: &str) -> Vec<Corners> {
    let xml = Xml::parse(svg).unwrap();
    with_class(&xml, class).map(corners).collect()
}

fn rectangles(svg: &str, class: &str) -> Vec<Corners> {
    let xml = Xml::parse(svg).unwrap();
    let nodes = with_class(&xml, class);
    nodes.map(|node| rectangle(node, (0.0, 0.0))).collect()
}

fn height(rectangle: &Corners) -> f64 {
    rectangle[2].1 - rectangle[0].1
}

fn width(rectangle: &Corners) -> f64 {
    rectangle[1].0 - rectangle[0].0
}

fn key(name: &str, sides: u32, face: Length) -> Key<'_> {
    Key {
        name,
        miter: Miter::Corner { sides },
        face,
        lip: in64(16),
        thickness: Some(in64(52)),
        rabbet_depth: Some(in64(40)),
        stop: Point::Rabbet,
    }
}

/// The words of a drawing, each `<text>` with all that is in it.
fn texts(svg: &str) -> Vec<String> {
    let xml = Xml::parse(svg).unwrap();
    let nodes = xml
        .descendants()
        .filter(|node| node.tag_name().name() == "text");
    nodes
        .map(|node| {
            let pieces = node.descendants().filter(Node::is_text);
            pieces.filter_map(|piece| piece.text()).collect()
        })
        .collect()
}

#[test]
fn a_corner_has_its_true_size_and_angle() {
    for (sides, face, parts) in [
        (4, 128, 1.0),
        (6, 48, 1.0),
        (8, 128, 1.0),
        (4, 200, 1.0),
        (4, 256, 2.0),
        (3, 128, 2.0),
        (4, 400, 2.0),
    ] {
        let svg = corner(&key("cap", sides, in64(face)), &display(), "c");
        let scale = format!("scale 1:{parts}");
        assert_eq!(svg.contains(&scale), parts > 1.5, "{sides} sides, {face}");
        assert_eq!(svg.contains("full size"), parts < 1.5);
        let wood = polygons(&svg, "wood");
        let [rail, profile] = &wood[..] else {
            panic!("a rail and a section")
        };
        let face = mm(in64(face)) / parts;
        let run = face * (180.0 / f64::from(sides)).to_radians().tan();
        near(rail[1].1 - rail[0].1, face);
        near(rail[1].0 - rail[0].0, run);
        // The section: back, wall of the rabbet, shelf, sight edge, front.
        near(profile[5].1 - profile[0].1, mm(in64(52)) / parts);
        near(profile[3].0 - profile[0].0, face);
        near(profile[3].0 - profile[2].0, mm(in64(16)) / parts);
        near(profile[2].1 - profile[1].1, mm(in64(40)) / parts);
    }
}

#[test]
fn a_corner_says_how_much_less_its_points_measure() {
    // Published in no source; derived: for a face of 2 and a lip of 1/4, 2 F tan 45 = 4 and 2 (F - L) tan 45 = 3 1/2.
    let texts = texts(&corner(&key("cap", 4, in64(128)), &display(), "c"));
    let at = |words: &str| texts.iter().position(|text| text == words).unwrap();
    assert_eq!(texts[at("short point") + 1], "4");
    assert_eq!(texts[at("stop: rabbet") + 1], "3 1/2");
    assert!(texts.contains(&"long point".to_owned()));
    // A section without a rabbet has no point of one.
    let tray = Key {
        lip: Length::ZERO,
        stop: Point::Long,
        ..key("tray", 4, in64(128))
    };
    let svg = corner(&tray, &display(), "c");
    assert!(!svg.contains("rabbet") && svg.contains("stop: long point"));
}

fn borders(each: i64) -> Borders {
    Borders {
        top: in64(each),
        right: in64(each),
        bottom: in64(each),
        left: in64(each),
    }
}

fn size(width: i64, height: i64) -> Outline {
    Outline::Rectangle {
        width: in64(width),
        height: in64(height),
    }
}

fn matted<'a>(name: &'a str, windows: &'a [Window]) -> Front<'a> {
    Front {
        name,
        outside: size(872, 1032),
        sight: size(712, 872),
        package: size(736, 896),
        inner: &[],
        windows,
        art: (size(512, 640), borders(112)),
    }
}

fn window() -> Window {
    Window {
        opening: Opening {
            size: size(480, 608),
            is_oval: false,
        },
        borders: Borders {
            bottom: in64(160),
            ..borders(128)
        },
    }
}

#[test]
fn a_frame_is_drawn_to_one_scale() {
    let svg = front(&matted("Sand ripples", &[window()]), &display(), "f");
    let one = |class: &str| polygons(&svg, class).remove(0);
    let outside = one("outside");
    let scale = width(&outside) / 872.0;
    near(height(&outside), 1032.0 * scale);
    let sight = one("sight");
    near(sight[0].0 - outside[0].0, 80.0 * scale);
    near(height(&sight), 872.0 * scale);
    // The package is in the middle of the frame: (872 - 736) / 2 = 68 and (1032 - 896) / 2 = 68 from the outside.
    let (window, art) = (one("window"), one("art"));
    near(window[0].0 - outside[0].0, (68.0 + 128.0) * scale);
    near(outside[2].1 - window[2].1, (68.0 + 160.0) * scale);
    near(art[0].1 - outside[0].1, (68.0 + 112.0) * scale);
    near(width(&art), 512.0 * scale);
    let texts = texts(&svg);
    for figure in [
        "13 5/8",
        "16 1/8",
        "11 1/8",
        "13 5/8",
        "7 1/2 × 9 1/2",
        "8 × 10",
    ] {
        assert!(
            texts.iter().any(|text| text == figure),
            "{figure}: {texts:?}"
        );
    }
}

#[test]
fn a_polygon_has_as_many_corners_and_its_rails_are_alike() {
    for sides in [3, 5, 6, 8, 12] {
        let regular = |side: i64| Outline::of_side(sides, in64(side));
        let frame = Front {
            outside: regular(800),
            sight: regular(600),
            package: regular(640),
            art: (regular(640), borders(0)),
            ..matted("Mirror", &[])
        };
        let svg = front(&frame, &display(), "f");
        let (outside, sight) = (
            polygons(&svg, "outside").remove(0),
            polygons(&svg, "sight").remove(0),
        );
        assert_eq!(
            (outside.len(), sight.len()),
            (sides as usize, sides as usize)
        );
        let length = |corners: &Corners, idx: usize| {
            let (one, next) = (corners[idx], corners[(idx + 1) % corners.len()]);
            (next.0 - one.0).hypot(next.1 - one.1)
        };
        for idx in 0..outside.len() {
            near(length(&outside, idx), length(&outside, 0));
            near(length(&sight, idx), length(&outside, 0) * 0.75);
        }
        let view = numbers(
            Xml::parse(&svg)
                .unwrap()
                .root_element()
                .attribute("viewBox")
                .unwrap(),
        );
        for (x, y) in outside {
            assert!(x > 0.0 && x < view[2] && y > 0.0 && y < view[3]);
        }
    }
}

fn layers(name: &str) -> [Layer; 5] {
    let layer = |kind, thickness| Layer {
        kind,
        name: Some(name.to_owned()),
        thickness: in64(thickness),
    };
    [
        layer(LayerKind::Glazing, 6),
        layer(LayerKind::Mat { layer: 1 }, 4),
        layer(LayerKind::Art, 0),
        layer(LayerKind::Backing, 12),
        layer(LayerKind::PointRoom, 8),
    ]
}

fn stack<'a>(layers: &'a [Layer], name: &'a str, rabbet_depth: i64) -> Stack<'a> {
    Stack {
        name,
        face: in64(80),
        lip: in64(16),
        thickness: Some(in64(52)),
        rabbet_depth: Some(in64(rabbet_depth)),
        layers,
    }
}

#[test]
fn a_stack_lies_on_its_shelf_to_one_scale() {
    let layers = layers("board");
    let svg = section(&stack(&layers, "Sand ripples", 40), &display(), "s");
    let wood = polygons(&svg, "wood").remove(0);
    let scale = (wood[5].1 - wood[0].1) / 52.0;
    let shelf = wood[2].1;
    near(shelf - wood[1].1, 40.0 * scale);
    let one = |class: &str| rectangles(&svg, class).remove(0);
    let (glazing, mat, backing, room) = (one("glazing"), one("mat"), one("backing"), one("room"));
    near(glazing[2].1, shelf);
    near(height(&glazing), 6.0 * scale);
    near(mat[2].1, glazing[0].1);
    near(backing[2].1, shelf - 10.0 * scale);
    near(height(&backing), 12.0 * scale);
    near(room[2].1, backing[0].1);
    near(height(&room), 8.0 * scale);
    assert!(rectangles(&svg, "deep").is_empty());
    assert!(!svg.contains("points lack") && !svg.contains("stands out"));
    // Derived: 6 + 4 + 12 + 8 = 30 in a rabbet of 24 is 6/64 = 3/32 too much; the board behind reaches 22.
    let svg = section(&stack(&layers, "Sand ripples", 24), &display(), "s");
    assert_eq!(rectangles(&svg, "deep").len(), 1);
    let texts = texts(&svg);
    let behind = |words: &str, texts: &[String]| {
        let at = texts.iter().position(|text| text == words).unwrap();
        texts[at + 1].clone()
    };
    assert_eq!(behind("points lack", &texts), "3/32 in");
    // In a rabbet of 20 the board itself stands out, by 2/64 = 1/32.
    let svg = section(&stack(&layers, "Sand ripples", 20), &display(), "s");
    assert_eq!(rectangles(&svg, "deep").len(), 2);
    assert_eq!(behind("stands out by", &self::texts(&svg)), "1/32 in");
}

fn shares(words: &str) -> [Share<'_>; 4] {
    let share = |used, per_mille| Share {
        used,
        words,
        per_mille,
    };
    [
        share(Use::Parts, 859),
        share(Use::Rack, 110),
        share(Use::Ends, 0),
        share(Use::Saw, 31),
    ]
}

fn way(name: &str, more: Option<i64>) -> WayBar<'_> {
    WayBar {
        name,
        words: name,
        more,
        is_chosen: more == Some(0),
    }
}

#[test]
fn bars_are_as_long_as_their_figures() {
    let svg = use_of_wood(&shares("wood"), "u");
    let bars = |class: &str| rectangles(&svg, class);
    // Each has a bar, unless it is none of the wood, and a patch in the legend.
    let (parts, rack, saw) = (bars("use-parts"), bars("use-rack"), bars("use-saw"));
    assert_eq!(
        (parts.len(), rack.len(), bars("use-ends").len(), saw.len()),
        (2, 2, 1, 2)
    );
    near(width(&parts[0]), 185.0 * 0.859);
    near(width(&rack[0]), 185.0 * 0.110);
    near(width(&saw[0]), 185.0 * 0.031);
    near(rack[0][0].0, parts[0][1].0);
    let all = [
        way("all", Some(0)),
        way("one", Some(1400)),
        way("two", Some(700)),
        way("less", Some(-350)),
        way("none", None),
    ];
    let svg = ways(&all, "w");
    let (more, less) = (rectangles(&svg, "more"), rectangles(&svg, "less"));
    assert_eq!((more.len(), less.len()), (2, 1));
    near(width(&more[0]), width(&more[1]) * 2.0);
    near(width(&more[1]), width(&less[0]) * 2.0);
    near(less[0][1].0, more[0][0].0);
    // Nothing is drawn of what costs the same, and of what will not do.
    assert!(
        rectangles(
            &ways(&[way("all", Some(0)), way("none", None)], "w"),
            "more"
        )
        .is_empty()
    );
}

#[test]
fn names_stay_within_their_drawing() {
    for name in hostile() {
        let window = [window()];
        let layers = layers(&name);
        let drawings = [
            corner(&key(&name, 4, in64(80)), &display(), "c"),
            front(&matted(&name, &window), &display(), "f"),
            section(&stack(&layers, &name, 40), &display(), "s"),
            use_of_wood(&shares(&name), "u"),
            ways(
                &[way(&name, Some(0)), way(&name, Some(7)), way(&name, None)],
                "w",
            ),
        ];
        for svg in drawings {
            let xml = Xml::parse(&svg).unwrap();
            for element in xml.descendants().filter(Node::is_element) {
                let known = [
                    "svg", "title", "desc", "polygon", "path", "rect", "circle", "text", "tspan",
                ];
                assert!(known.contains(&element.tag_name().name()), "{name:?}");
            }
        }
    }
}
