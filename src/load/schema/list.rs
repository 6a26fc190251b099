//! The tables themselves.

use super::Kind::{
    Age, Amount, Boards, Count, Currency, Date, Defects, Flag, Length, Name, Names, Nominal, Places, Price, Rounding,
    Percent, Spare, Thickness, Weight, Word, Work, Worth,
};
use super::Least::{Positive, Zero};
use super::{Column, Schema, Shape, column, words};
use crate::load::limits::{DECIMALS, KEYS, LABELS_IN_LINE, LAYERS, LONG_OFFCUTS, SIDES, SOME, SOME_OR_NONE};
use crate::load::words::{
    ACROSS, BOARD_MEASURES, CUTS, ENDS, FROM, GRAINS, HANG_BY, HARDWARE_USES, HINGES, DECIMAL_MARKS, LABEL_ORDERS, LIES, LINE_ENDS, LONG_CHAINS, MATTED, PAPERS, MILLED, MOUNTS, SECTIONS, SEPARATORS, SHAPES, SPACER_ENDS, STATES, STOPS, SURFACES, UNITS,
    USES,
};

/// Everything a job file may hold, in the order in which its keys are listed.
pub static JOB: [&Schema; 24] = [
    &HEAD, &SAW, &SHOP, &RIP, &ASSEMBLY, &HANGING, &MOULDINGS, &SHEETS, &SHEET_STOCK, &SHEET_RACK, &SPACERS, &HARDWARE, &FRAMES, &PIECES, &BOARDS, &TALLY, &RACK,
    &BOUGHT, &IN_HAND, &LABELS, &TABLES, &BUYING, &WAYS, &PRICE,
];

/// The keys above the first table.
pub static HEAD: Schema = Schema {
    name: "",
    shape: Shape::Head,
    meaning: "what the job is called and how its numbers are written",
    columns: &[
        column("title", Name, "name of the job, at the head of every page; else the file's name"),
        column("shop-file", Name, "the file of the shop that the job belongs to, such as `../shop.toml`"),
        column("date", Date, "day on which the job is cut; pieces that come to the rack have it"),
        column("unit", Word(&words(&UNITS)), "unit of bare numbers, and of what is printed").or("in"),
        column("rounding", Rounding, "step to which sizes that are worked out are shown"),
        column("currency", Currency, "code or sign of the currency of all prices"),
        column("currency-decimals", Count(DECIMALS), "decimals of the currency").or("2"),
    ],
};

/// `[saw]`. Defaults: common practice, no source: a full kerf, and 1/2 in off each end of a surfaced board.
pub static SAW: Schema = Schema {
    name: "saw",
    shape: Shape::Once,
    meaning: "what a cut across a board takes",
    columns: &[
        column("kerf", Length(Zero), "width of wood that a cut turns into dust").or("1/8 in"),
        column("end-trim", Length(Zero), "length kept clear at both ends of every board").or("1/2 in"),
    ],
};

/// `[shop]`. Defaults: common practice, no source: play in the rabbet, lap of the mat, and work that is short.
pub static SHOP: Schema = Schema {
    name: "shop",
    shape: Shape::Once,
    meaning: "how the shop works",
    columns: &[
        column("fit-allowance", Length(Zero), "play of the package in its rabbet, in all").or("1/8 in"),
        column("mat-overlap", Length(Zero), "lap of a mat over the art on each side").or("1/4 in"),
        column("shortest-offcut", Length(Zero), "shortest offcut that is kept").or("12 in"),
        column("point-room", Length(Zero), "depth in the rabbet that the points or brads behind the package take").or("0 in"),
        column("board-measure", Word(&words(&BOARD_MEASURES)), "how board feet are charged: exactly, or whole square feet of face times thickness").or("exact"),
        column("stop", Word(&words(&STOPS)), "what of a mitered part lies at the stop of the saw, so that the stop is set to the length there").or("long-point"),
        column("long-chains", Word(&words(&LONG_CHAINS)), "what is done where rails in a row are too long for every board: refuse them, or cut them in pairs").or("refuse"),
        column("long-offcuts", Count(LONG_OFFCUTS), "among plans of one cost: 0 takes the least board, 100 leaves the longest offcuts").or("0"),
    ],
};

/// `[rip]`. The default of `plane-off`: common practice, no source: what a jointer takes off an edge in two or three passes;
/// that of `resaw-planing`: common practice, no source: 1/8 in or 3 mm for both faces of a flat board.
pub static RIP: Schema = Schema {
    name: "rip",
    shape: Shape::Once,
    meaning: "boards are ripped into strips, and what that takes; without this table they are not",
    columns: &[
        column("kerf", Length(Zero), "width of wood that a rip turns into dust").or("1/8 in"),
        column("straightening", Length(Zero), "width lost at both edges of a board together").or("0 in"),
        column("planing", Length(Zero), "width added to every strip, to be planed off").or("0 in"),
        column("plane-off", Length(Zero), "most by which a board may be wider than a strip and still be taken whole, the rest planed off its edge").or("1/8 in"),
        column("narrowest-offcut", Length(Zero), "narrowest strip that is kept; if left out, the narrowest that is wanted"),
        column("resaw-kerf", Length(Zero), "width of wood that a resaw turns into dust; if left out, no board is resawn"),
        column("resaw-planing", Length(Zero), "thickness added to every slice of a resawn board, to be planed off").or("1/8 in"),
        column("resaw-widest", Length(Positive), "widest board that the saw takes on edge; if left out, any"),
    ],
};

/// `[assembly]`. Defaults: common practice, no source, see [`crate::job::Assembly::usual`].
pub static ASSEMBLY: Schema = Schema {
    name: "assembly",
    shape: Shape::Once,
    meaning: "how frames are put together; for the stations alone",
    columns: &[
        column("keys", Count(KEYS), "keys of wood across each corner").or("0"),
        column("key-depth", Length(Positive), "how deep their slots go in from the corner"),
        column("key-kerf", Length(Positive), "width of such a slot, and thickness of a key").or("1/8 in"),
        column("spline-depth", Length(Positive), "how deep the slot for a spline goes into each end of a rail; if left out, there are none"),
        column("clamp-spare", Length(Zero), "band or tape beyond once round the frame; if left out, 12 in or 300 mm"),
        column("mat-hinge", Word(&words(&HINGES)), "edge along which a mat is hinged to the board behind it").or("top"),
        column("point-spacing", Length(Positive), "most between two points behind a package; if left out, 3 in or 75 mm"),
        column("dust-cover-margin", Length(Zero), "how far a dust cover stays inside of each edge; if left out, 1/8 in or 3 mm"),
        column("dust-cover-oversize", Length(Zero), "by how much it is cut larger at each edge, to be trimmed once it is glued").or("0 in"),
    ],
};

/// `[hanging]`. Defaults: common practice, no source, see [`crate::job::Assembly::usual`].
pub static HANGING: Schema = Schema {
    name: "hanging",
    shape: Shape::Once,
    meaning: "how frames hang; for the stations alone",
    columns: &[
        column("center-line", Length(Positive), "height of the middle of each frame; if left out, 57 in or 1450 mm"),
        column("by", Word(&words(&HANG_BY)), "a wire over one hook or two, two hangers without a wire, or a cleat; if left out, one hook for small and light frames, hangers for others"),
        column("cleat-above", Weight, "frames heavier than this hang by a cleat, whatever `by` says"),
        column("hanger-drop", Length(Positive), "how far hangers are below the top edge; if left out, a third of the height"),
        column("wire-rise", Length(Positive), "how far a wire is drawn up above its hangers; if left out, half of their drop"),
        column("hook-spacing", Length(Positive), "how far two hooks under one wire are apart; if left out, half of what its hangers are"),
        column("wire-tail", Length(Zero), "wire for wrapping at each hanger; if left out, 4 in or 100 mm"),
        column("wall", Length(Positive), "width of a wall on which all frames hang in one row"),
        column("gap", Length(Zero), "what is between neighbors on it; if left out, all gaps are alike, those at the ends too"),
    ],
};

/// `[[mouldings]]`. The default of `lip`: common practice, no source: 1/4 in of rabbet under the sight edge.
pub static MOULDINGS: Schema = Schema {
    name: "mouldings",
    shape: Shape::List,
    meaning: "a moulding from which frames are made",
    columns: &[
        column("name", Name, "what frames and pieces call it").needed(),
        column("face-width", Length(Positive), "width across its face").needed(),
        column("lip", Length(Zero), "how far it covers the package on each side").or("1/4 in"),
        column("rabbet-depth", Length(Positive), "depth of its rabbet"),
        column("material", Name, "material that its boards must have"),
        column("woods", Names, "materials in which it is made, where there are several; a frame then names its `wood`"),
        column("thickness", Thickness, "thickness that its boards must have"),
        column("thicker-stock", Flag, "whether it may be planed down from thicker boards").or("false"),
        column("milled", Word(&words(&MILLED)), "whether boards are milled before they are cut, or rails afterwards").or("before-cutting"),
        column("section", Word(&words(&SECTIONS)), "handed, or the same from either edge, so that a rail may be turned").or("handed"),
        column("grain", Word(&words(&GRAINS)), "rails of a frame that are to come from one strip, in order").or("none"),
        column("match-color", Flag, "whether the rails of each frame are to come from few boards").or("false"),
        column("spare", Spare, "spare rails: a count, a share such as `10 %`, or `offcut`"),
    ],
};

/// `[[sheets]]`.
pub static SHEETS: Schema = Schema {
    name: "sheets",
    shape: Shape::List,
    meaning: "a kind of glazing, backing, mat board or paper for dust covers",
    columns: &[
        column("name", Name, "what frames call it").needed(),
        column("use", Word(&words(&USES)), "what it is for; `plywood` is a backing, and `dust-cover` the paper over the backs of frames").needed(),
        column("thickness", Length(Positive), "its thickness; needed of all but paper for dust covers, which is 0.1 mm if it is left out"),
        column("width", Length(Positive), "width in which it is sold"),
        column("height", Length(Positive), "height in which it is sold"),
        column("price", Amount, "price of one sheet"),
        column("trim", Length(Zero), "what is cut off at each edge of a sheet as it is sold").or("0 in"),
        column("trim-left", Length(Zero), "the same at the left edge, if not `trim`"),
        column("trim-right", Length(Zero), "the same at the right edge, if not `trim`"),
        column("trim-top", Length(Zero), "the same at the upper edge, if not `trim`"),
        column("trim-bottom", Length(Zero), "the same at the lower edge, if not `trim`"),
        column("cut", Word(&words(&CUTS)), "scored or cut by a knife, which takes nothing, or sawn; plywood is sawn if nothing is said").or("scored"),
        column("kerf", Length(Zero), "what a cut takes where it is sawn; if left out, that of the saw"),
        column("longest-first-cut", Length(Positive), "longest cut that can be made across a whole sheet"),
        column("longest-second-cut", Length(Positive), "longest cut that can be made across a strip of a sheet"),
        column("third-cuts", Flag, "whether what is cut from a strip may be cut once more, along the strip, where that is cheaper").or("false"),
        column("turn", Flag, "whether pieces may be turned by a right angle: not where grain or pattern is to run one way; plywood may not if nothing is said").or("true"),
        column("least-piece", Length(Positive), "what is left is kept where neither side is shorter").or("8 in"),
        column("fallout", Flag, "whether what drops out of the windows of mats is cut for smaller ones").or("false"),
        column("fallout-loss", Length(Zero), "what of it is lost at each edge, for the bevel; if left out, 1/8 in or 3 mm"),
    ],
};

/// `sheet-stock`.
pub static SHEET_STOCK: Schema = Schema {
    name: "sheet-stock",
    shape: Shape::ListOrFiles,
    meaning: "a size in which sheets of a kind are sold",
    columns: &[
        column("sheet", Name, "the kind of sheet").needed(),
        column("width", Length(Positive), "width of one, as it lies").needed(),
        column("height", Length(Positive), "height of one").needed(),
        quantity("how many there are; empty is as many as needed"),
        column("price", Amount, "price of one"),
        column("trim", Length(Zero), "what is cut off at each edge, if not as its kind says"),
    ],
};

/// `sheet-rack`.
pub static SHEET_RACK: Schema = Schema {
    name: "sheet-rack",
    shape: Shape::ListOrFiles,
    meaning: "a sheet, or a piece left of one, that is on the rack",
    columns: &[
        column("label", Name, "what is written on it").needed(),
        column("sheet", Name, "the kind of sheet").needed(),
        column("width", Length(Positive), "its width, as it lies").needed(),
        column("height", Length(Positive), "its height").needed(),
        quantity("how many are alike").or("1"),
        column("value", Amount, "what one is worth to the shop; empty is nothing"),
        column("trim", Length(Zero), "what is cut off at each edge").or("0 in"),
        column("trim-left", Length(Zero), "the same at the left edge, if not `trim`"),
        column("trim-right", Length(Zero), "the same at the right edge, if not `trim`"),
        column("trim-top", Length(Zero), "the same at the upper edge, if not `trim`"),
        column("trim-bottom", Length(Zero), "the same at the lower edge, if not `trim`"),
    ],
};

/// `[[spacers]]`.
pub static SPACERS: Schema = Schema {
    name: "spacers",
    shape: Shape::List,
    meaning: "strips that keep glazing off the art, as in a shadow box",
    columns: &[
        column("name", Name, "what frames call it").needed(),
        column("width", Length(Positive), "width of a strip, seen from the front").needed(),
        column("depth", Length(Positive), "how far it keeps the glazing off, where a frame has no `box-depth`"),
        column("ends", Word(&words(&SPACER_ENDS)), "how its ends are cut; butted, those across run through").or("mitered"),
        column("strips", Word(&words(&LIES)), "how they lie: on edge, of boards as thick as they are wide and ripped to their depth; or flat, of boards as thick as they are deep and ripped to their width").or("on-edge"),
        column("material", Name, "material that its boards must have; empty takes any"),
        column("bought", Flag, "whether strips are bought, and not cut from boards of the job").or("false"),
    ],
};

/// `[[hardware]]`.
pub static HARDWARE: Schema = Schema {
    name: "hardware",
    shape: Shape::List,
    meaning: "what frames need besides wood and sheets, as it is sold; what is not listed is not counted",
    columns: &[
        column("name", Name, "what it is called; of bought spacers, that of the spacer").needed(),
        column("use", Word(&words(&HARDWARE_USES)), "what it is for, which says how it is counted").needed(),
        column("lot-count", Count(SOME), "how many are sold together").or("1"),
        column("lot-length", Length(Positive), "how long it is as it is sold: wire, cleat, tape, dust-cover, spacer"),
        column("price", Amount, "price of what is sold together"),
        column("bears", Weight, "what one is rated for: hangers, wire, hooks"),
        column("each", Count(SOME), "bumpers that a frame gets; if left out, 2"),
        column("roll-width", Length(Positive), "width of the roll that dust covers are cut from"),
    ],
};

/// `frames`. The default of `reveal`: common practice, no source.
pub static FRAMES: Schema = Schema {
    name: "frames",
    shape: Shape::ListOrFiles,
    meaning: "an artwork, or several of one size, and how it is to be framed",
    columns: &[
        column("frame", Name, "what it is called").needed().also(&["name"]),
        column("quantity", Count(SOME), "how many are wanted").or("1").also(&["qty"]),
        column("moulding", Name, "its moulding; may be left out where the job has one"),
        column("wood", Name, "which of the woods of its moulding"),
        column("art-width", Length(Positive), "width of the art, or of each side of a polygon; see `measured`").needed(),
        column("art-height", Length(Positive), "height of the art; needed for a rectangle"),
        column("sides", Count(SIDES), "number of sides of a regular polygon; else it is a rectangle"),
        column("measured", Word(&words(&ACROSS)), "what `art-width` of a polygon is: its side, or the distance across its flats or corners").or("side"),
        column("shape", Word(&words(&SHAPES)), "whether the art, and the window of its mat, is an oval in the rectangle of its size").or("straight"),
        column("art-thickness", Length(Zero), "thickness of the art").or("0 in"),
        column("mat-border", Length(Positive), "width of the mat on all sides for which no other is given"),
        column("mat-top", Length(Positive), "width of the mat above its window"),
        column("mat-right", Length(Positive), "width of the mat right of its window"),
        column("mat-bottom", Length(Positive), "width of the mat below its window"),
        column("mat-left", Length(Positive), "width of the mat left of its window"),
        column("package-width", Length(Positive), "width over all of a mat that is centered in it"),
        column("package-height", Length(Positive), "height over all of a mat that is centered in it"),
        column("mount", Word(&words(&MOUNTS)), "whether the mat laps over the art or the art lies open in its window").or("overlap"),
        column("overlap", Length(Zero), "lap of the mat over the art on each side, if not the shop's"),
        column("mat-layers", Count(LAYERS), "number of mats on top of each other").or("1"),
        column("reveal", Length(Positive), "how much of each lower mat is seen").or("1/4 in"),
        column("mat", Name, "sheet of which the mat is made"),
        column("lower-mat", Name, "sheet of the mats below the top one, if not `mat`: one, or from the top down `black; cream`"),
        column("glazing", Name, "sheet in front of the art"),
        column("backing", Name, "sheet behind the art"),
        column("dust-cover", Flag, "whether it gets a dust cover, where the job has paper for them").or("true"),
        column("spacer", Name, "strips between glazing and art"),
        column("box-depth", Length(Positive), "how far its spacer keeps the glazing off, if not as deep as that says"),
        column("liner", Name, "moulding of a frame inside of it, such as a liner or a fillet; of several, from the art outwards: `fillet; liner`"),
        column("liner-play", Length(Zero), "play of a liner in the rabbet round it, in all").or("1/8 in"),
        column("tray-gap", Length(Zero), "gap round art that stands free in a tray"),
        column("grain", Word(&words(&GRAINS)), "rails that are to come from one strip, if not as its moulding says"),
        column("match-color", Flag, "whether its rails are to come from few boards, if not as its moulding says"),
        column("board", Name, "the line of boards, tally or rack that all its rails must come from; others may use it too"),
    ],
};

/// `pieces`.
pub static PIECES: Schema = Schema {
    name: "pieces",
    shape: Shape::ListOrFiles,
    meaning: "a loose piece that is cut to length, such as a spacer or a spline",
    columns: &[
        column("piece", Name, "what it is called").needed().also(&["name"]),
        column("length", Length(Positive), "its length, between long points if it is mitered").needed(),
        column("quantity", Count(SOME), "how many are wanted").or("1").also(&["qty"]),
        column("ends", Word(&words(&ENDS)), "how its ends are cut").or("square"),
        column("moulding", Name, "the moulding it is cut from"),
        column("wood", Name, "which of the woods of that moulding"),
        column("material", Name, "material that its boards must have"),
        column("thickness", Thickness, "thickness that its boards must have"),
        column("width", Length(Positive), "width that is to be ripped, or that its boards must have"),
    ],
};

/// The columns of a line of boards, which differ in what names it and how many an empty quantity is.
const fn of_boards(board: Column, quantity: Column) -> [Column; 10] {
    [
        board,
        column("length", Length(Positive), "length of one board").needed(),
        quantity,
        column("price", Price, "price each, by length, or by board foot, square or cubic meter: `12.50`, `1.20/ft`, `16.80/72 in`, `7.80/bf`, `38.50/m2`, `1250/m3`"),
        MATERIAL,
        THICKNESS,
        WIDTH,
        NOMINAL,
        SURFACED,
        DEFECTS,
    ]
}

const BOARD: Column = column("board", Name, "what it is called").also(&["name"]);
const MATERIAL: Column = column("material", Name, "its material; empty suits everything");
const THICKNESS: Column = column("thickness", Thickness, "its thickness; empty suits everything");
const WIDTH: Column = column("width", Length(Positive), "its width; empty suits everything");
const NOMINAL: Column = column("nominal", Nominal, "nominal size of dressed softwood, such as `1x6`");
const SURFACED: Column = column("surfaced", Word(&words(&SURFACES)), "whether a thickness in quarters is as sawn or surfaced on two sides");
const DEFECTS: Column = column("defects", Defects, "stretches not to be used, from the near end: `23 to 25 1/2; 61 to 62 left`");

/// How many boards of a line there are, where that is more than nothing said.
const fn quantity(meaning: &'static str) -> Column {
    column("quantity", Count(SOME_OR_NONE), meaning).also(&["qty"])
}

/// `boards`, and a yard's list of a way of buying.
pub static BOARDS: Schema = Schema {
    name: "boards",
    shape: Shape::ListOrFiles,
    meaning: "a kind of board that can be bought or taken",
    columns: &of_boards(BOARD.needed(), quantity("how many there are; empty is as many as needed")),
};

/// `tally`.
pub static TALLY: Schema = Schema {
    name: "tally",
    shape: Shape::ListOrFiles,
    meaning: "a board that was measured at the yard",
    columns: &of_boards(BOARD.needed_in_job_file(), quantity("how many are alike").or("1")),
};

/// `rack`: pieces on it are measured, so there are no tables of sizes, and worth what is said of them.
pub static RACK: Schema = Schema {
    name: "rack",
    shape: Shape::ListOrFiles,
    meaning: "an offcut or a board that is on the rack",
    columns: &[
        BOARD.needed(),
        column("length", Length(Positive), "its length").needed(),
        quantity("how many are alike").or("1"),
        MATERIAL,
        THICKNESS,
        WIDTH,
        column("moulding", Name, "the moulding to which it is milled already; it serves no other"),
        column("value", Price, "what it is worth to the shop"),
        column("paid", Price, "what was paid for it"),
        column("from", Name, "the board it was cut from"),
        column("job", Name, "the job that left it"),
        column("since", Date, "the day on which it came to the rack"),
        DEFECTS,
    ],
};

/// `bought`: what the list to buy by becomes by filling it in. What it tells for the yard is not used.
pub static BOUGHT: Schema = Schema {
    name: "bought",
    shape: Shape::ListOrFiles,
    meaning: "boards that were really bought; with them no others are on sale",
    columns: &[
        column("take", Count(SOME_OR_NONE), "how many the list asks for; not used"),
        column("bought", Count(SOME_OR_NONE), "how many were bought; empty is none"),
        column("measured", Length(Positive), "length as measured; empty is as on the label"),
        BOARD.needed(),
        column("length", Length(Positive), "length on the label").needed(),
        column("cut-at", Name, "where the yard has cut it, such as `48 in` or `4'; 8'`"),
        column("at-least", Length(Positive), "length that will do for what the plan cuts from it; not used"),
        column("price", Price, "price that was paid, as for boards"),
        MATERIAL,
        THICKNESS,
        WIDTH,
        NOMINAL,
        SURFACED,
        DEFECTS,
        column("from", Word(&words(&FROM)), "where it lies; what is on the rack is passed over").or("yard"),
        column("all", Name, "price of all that the list asks for; not used"),
        column("currency", Name, "currency of the prices; not used"),
        column("board-feet", Name, "board feet of all that the list asks for; not used"),
        column("surface-feet", Name, "the same by whole square feet of face; not used"),
    ],
};

/// `[in-hand]`.
pub static IN_HAND: Schema = Schema {
    name: "in-hand",
    shape: Shape::Once,
    meaning: "what pieces on the rack count, and what becomes of them",
    columns: &[
        column("worth", Worth, "what a piece without a `value` counts: its cost, a share of it, or nothing").or("cost"),
        column("first", Flag, "whether pieces in hand are used before any board is bought, whatever they are worth").or("false"),
        column("stove-below", Length(Positive), "pieces shorter than this are offered for the stove"),
        column("stove-after", Age, "so are pieces that came to the rack so long before the `date` of the job"),
    ],
};

/// `[tables]`.
pub static TABLES: Schema = Schema {
    name: "tables",
    shape: Shape::Once,
    meaning: "how tables are written for a spreadsheet; what is left out is as in the tables that the job is read from",
    columns: &[
        column("separator", Word(&words(&SEPARATORS)), "what stands between two fields"),
        column("decimal-mark", Word(&words(&DECIMAL_MARKS)), "what stands before decimals"),
        column("byte-order-mark", Flag, "whether a file begins with the mark by which spreadsheets know UTF-8"),
        column("line-ends", Word(&words(&LINE_ENDS)), "what ends a line: a line feed, or a carriage return and a line feed"),
    ],
};

/// `[labels]`. Defaults: common practice, no source, see [`crate::job::LabelSheet::usual`].
pub static LABELS: Schema = Schema {
    name: "labels",
    shape: Shape::Once,
    meaning: "the sheet on which labels are printed",
    columns: &[
        column("paper", Word(&words(&PAPERS)), "its size, upright; if left out, letter where the unit is of inches, A4 elsewhere"),
        column("columns", Count(LABELS_IN_LINE), "labels side by side; if left out, 3"),
        column("rows", Count(LABELS_IN_LINE), "labels below each other; if left out, 10 on letter, 8 on A4"),
        column("width", Length(Positive), "width of a label; if left out, 2 5/8 in on letter, 70 mm on A4"),
        column("height", Length(Positive), "height of a label; if left out, 1 in on letter, 37 mm on A4"),
        column("gap-across", Length(Zero), "between two columns; if left out, 1/8 in on letter, none on A4"),
        column("gap-down", Length(Zero), "between two rows").or("0 mm"),
        column("margin-left", Length(Zero), "from the edge of the paper to the first column"),
        column("margin-top", Length(Zero), "from the edge of the paper to the first row"),
        column("shift-left", Length(Zero), "how far a test print lies too far to the right"),
        column("shift-right", Length(Zero), "how far it lies too far to the left"),
        column("shift-up", Length(Zero), "how far it lies too low"),
        column("shift-down", Length(Zero), "how far it lies too high"),
        column("order", Word(&words(&LABEL_ORDERS)), "in which order labels of rails come: as they come off the saw, or frame by frame").or("stops"),
    ],
};

/// `[buying]`.
pub static BUYING: Schema = Schema {
    name: "buying",
    shape: Shape::Once,
    meaning: "limits on what is bought",
    columns: &[
        column("longest", Length(Positive), "longest board that can be brought home"),
        column("yard-cuts", Places, "where the yard cuts longer boards: at the multiples of a length, or at the places in a list"),
        column("yard-kerf", Length(Zero), "what the yard's saw takes").or("1/8 in"),
        column("yard-cut-price", Amount, "what the yard charges for each cut").or("0"),
    ],
};

/// `[price]`. No rule has a usual value: what a shop asks is its own.
pub static PRICE: Schema = Schema {
    name: "price",
    shape: Shape::Once,
    meaning: "what the shop asks; what is left out is not charged",
    columns: &[
        column("hour", Amount, "what an hour of work costs, for work that is told by its time"),
        column("per-frame", Work, "work on a picture with its frame, whatever its size"),
        column("per-corner", Work, "work on each corner"),
        column("per-window", Work, "work on each window that is cut into a mat board"),
        column("glass-square-foot", Work, "work on each square foot of glazing"),
        column("glass-square-meter", Work, "work on each square meter of glazing"),
        column("waste", Percent, "what is spoiled, on top of what wood, mats, glazing and backing cost"),
        column("overhead", Percent, "what the shop costs anyway, on top of all other costs"),
        column("markup", Percent, "what is added to every cost that has no markup of its own"),
        column("markup-wood", Percent, "what is added to the cost of wood"),
        column("markup-mats", Percent, "what is added to that of mat boards"),
        column("markup-glazing", Percent, "what is added to that of glass and acrylic"),
        column("markup-backing", Percent, "what is added to that of backing"),
        column("markup-hardware", Percent, "what is added to that of hardware"),
        column("markup-labor", Percent, "what is added to that of work"),
        column("round-to", Amount, "step from one price that is asked to the next, `1` if only `ending` is given; prices are raised to the next one"),
        column("ending", Amount, "the lowest of these prices, such as `0.95`; if left out, 0"),
        column("discount", Percent, "what is taken off an order of `discount-from` or more"),
        column("discount-from", Count(SOME), "how many frames and pieces of the job, all together, are such an order").or("1"),
        column("tax", Percent, "tax on the sale, of the price without it"),
        column("tax-name", Name, "what it is called; if left out, `tax`"),
        column("tax-included", Flag, "whether prices are told, and raised to round ones, with the tax in them").or("false"),
        column("deposit", Percent, "what is paid before the work begins, of all that is to be paid"),
    ],
};

/// `[[ways]]`.
pub static WAYS: Schema = Schema {
    name: "ways",
    shape: Shape::List,
    meaning: "a way of buying that is to be compared with others",
    columns: &[
        column("name", Name, "what it is called").needed(),
        column("boards", Boards, "names of boards of the job, or CSV files with a yard's list").needed(),
    ],
};

/// A price list.
pub static PRICE_LIST: Schema = Schema {
    name: "price list",
    shape: Shape::Apart,
    meaning: "what is asked for one frame, by its name or by the size of its art",
    columns: &[
        column("frame", Name, "the frame or piece; empty is every frame of the size beside it"),
        column("width", Length(Positive), "width of the art, which may as well stand as lie"),
        column("height", Length(Positive), "height of the art"),
        column("moulding", Name, "its moulding; empty is any"),
        column("mat", Word(&words(&MATTED)), "whether it has a mat; empty is either"),
        column("price", Amount, "price of one, as the customer reads it; rows without one are passed over").needed_as_heading(),
    ],
};

/// A list of sizes.
pub static SIZE_LIST: Schema = Schema {
    name: "size list",
    shape: Shape::Apart,
    meaning: "a size of art of which an estimate is wanted",
    columns: &[
        column("width", Length(Positive), "width of the art").needed(),
        column("height", Length(Positive), "height of the art").needed(),
        column("moulding", Name, "its moulding; empty is each of the job"),
        column("mat", Word(&words(&MATTED)), "whether it has a mat; empty is with and without"),
    ],
};

/// A cut list on which is marked what was cut.
pub static MARKS: Schema = Schema {
    name: "cut list",
    shape: Shape::Apart,
    meaning: "a cut, and what became of it",
    columns: &[
        column("mark", Name, "what is chalked on its board, or on its strip of a ripped one, such as `G` or `B4`"),
        column("board", Name, "the line of boards it is cut from; beside a mark it must be that of the plan"),
        column("board-number", Count(SOME), "which board of the line"),
        column("strip", Count(SOME), "which strip of the board"),
        column("cut", Count(SOME), "which cut of the strip").needed(),
        column("part", Name, "what it makes; where it is given, it must be that of the plan"),
        column("state", Word(&words(&STATES)), "empty while it is still to be made").needed_as_heading(),
        column("good", Length(Positive), "of a spoiled part, its clear stretch along the outer edge; left empty, nothing of it is good"),
    ],
};
