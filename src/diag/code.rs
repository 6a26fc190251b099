//! The codes of all diagnostics: stable, so that scripts and notes may refer to them.

/// What is said of a code in the guide.
#[derive(Clone, Copy, Debug)]
pub struct Entry {
    /// The code itself, such as `E013`.
    pub code: &'static str,
    /// What is wrong.
    pub meaning: &'static str,
    /// What can be done about it, where the report itself knows no better.
    pub way_out: &'static str,
}

/// Makes one documented constant for each code, and the list of all of them.
macro_rules! codes {
    ($($name:ident = $code:literal, $meaning:literal, $way_out:literal;)*) => {
        $(#[doc = $meaning] pub const $name: &str = $code;)*

        /// Every code, in the order of the codes.
        pub const ALL: &[Entry] = &[$(Entry { code: $code, meaning: $meaning, way_out: $way_out }),*];
    };
}

codes! {
    FILE_MISSING = "E001", "a file is missing",
        "check the name; a table is looked for beside the job file";
    FILE_IS_DIRECTORY = "E002", "a path names a directory, not a file",
        "name the file itself, not the folder it lies in";
    FILE_NOT_TEXT = "E003", "a file is not text",
        "save the table again as UTF-8; a spreadsheet offers `CSV UTF-8`";
    FILE_TOO_LARGE = "E004", "a file is larger than the limit",
        "check that it is the right file; divide a table into several and list them";
    TOML_SYNTAX = "E005", "the job file is not TOML",
        "look at the marked place: a quotation mark or a bracket is often missing, or a text has no quotation marks";
    UNKNOWN_KEY = "E006", "a key is unknown",
        "take the name that the hint offers, or look it up in `longpoint help job`";
    WRONG_TYPE = "E007", "a key has a value of the wrong type",
        "write a text in quotation marks, and `true` or `false` without them";
    MISSING_KEY = "E008", "a key is missing",
        "add the key that is named";
    UNKNOWN_COLUMN = "E009", "a column is unknown",
        "take the heading that the hint offers, or delete the column";
    MISSING_COLUMN = "E010", "a column is missing",
        "add a column with this heading";
    DUPLICATE_COLUMN = "E011", "a column appears twice",
        "delete or rename one of the two";
    FIELD_COUNT = "E012", "a row has more or fewer fields than the header",
        "put a text that has a comma in it in quotation marks; fill the row up with commas";
    NOT_A_LENGTH = "E013", "a text is not a length",
        "write it as in `14 1/8`, `8'`, `8' 2 1/2\"` or `360 mm`";
    LENGTH_NOT_EXACT = "E014", "a length is not a whole number of nanometers",
        "take one of the two nearest lengths that the hint gives";
    LENGTH_RANGE = "E015", "a length is zero, negative or too long",
        "give a length above 0 and below the limit; check the unit";
    NOT_A_QUANTITY = "E016", "a text is not a quantity, or out of range",
        "give a whole number in the range that is named";
    NOT_A_PRICE = "E017", "a text is not a price, or out of range",
        "write it as in `12.50`, `1.20/ft`, `7.80/bf` or `1250/m3`, without the sign of a currency";
    NOT_ALLOWED = "E018", "a text is not one of the allowed words",
        "take one of the words that are listed";
    FILE_UNREADABLE = "E019", "a file cannot be read",
        "close it in other programs, and check that you may read it";
    OPEN_QUOTE = "E020", "a quoted field runs over several lines",
        "close the quotation mark in the same line";
    EMPTY_FIELD = "E021", "a field is empty that must be filled",
        "fill the field";
    BAD_NAME = "E022", "a name is too long or has control characters",
        "shorten the name, and type it anew without tabs or line breaks";
    TOO_MANY_ERRORS = "E023", "reading ended because a file has too many errors",
        "correct the errors that are shown; the others follow in the next run";
    TOO_MANY_ROWS = "E024", "a table has more rows than the limit",
        "check that it is the right file; put equal rows together by `quantity`";
    FILE_OUTSIDE = "E025", "a job names a file outside of its folder",
        "put the table into the folder of the job, or give `--tables-anywhere` if you trust the job";
    FILE_SPECIAL = "E026", "a path names a pipe or a device, not a file",
        "save it as a file; only the job file itself, a plan or marks can be `-` for standard input";
    HEADING_OPEN = "E027", "a heading may mean several columns",
        "rename the heading: take the name of the column that is meant";
    DATE_FOR_LENGTH = "E028", "a length has become a date in a spreadsheet",
        "format the column as text in the spreadsheet, and type the fraction anew";
    NO_SHEET = "E029", "a workbook gives no table",
        "name one of its sheets behind the file, as in `list.xlsx#Pictures`, or save the sheet as CSV";
    NOT_A_DATE = "E030", "a text is not a date",
        "write it as in `2026-11-25`: year, month, day";
    NOT_OF_A_SHOP = "E031", "the file of a shop has what only a job may have",
        "write it into the job file";
    SHOP_MISPLACED = "E032", "the file of a shop has another name or lies elsewhere than it must",
        "call it `shop.toml`, and put it beside the job or into a folder above";
    NOT_AN_AGE = "E033", "a text is not an age",
        "write it as in `2 years`, `18 months`, `6 weeks` or `90 days`";
    NOT_A_SHARE = "E034", "a text is not what wood in hand may count",
        "write `cost`, `nothing`, or a share of the cost such as `1/2` or `50 %`";
    LABELS_DO_NOT_FIT = "E035", "labels do not fit on their paper",
        "give fewer columns or rows, or the sizes on the pack of labels";
    NOT_A_PERCENTAGE = "E036", "a text is not a percentage, or not a time that work takes",
        "write a percentage as in `15 %` or `8.25 %`, a time as in `20 min` or `1.5 h`";
    UNKNOWN_MOULDING = "E101", "a moulding is unknown",
        "correct the name, or add a `[[mouldings]]` table for it";
    UNKNOWN_SHEET = "E102", "a sheet is unknown, or meant for another use",
        "correct the name, or add a `[[sheets]]` table with the right `use`";
    DUPLICATE_MOULDING = "E103", "two mouldings have the same name",
        "rename one of the two";
    DUPLICATE_SHEET = "E104", "two sheets have the same name",
        "rename one of the two";
    DUPLICATE_FRAME = "E105", "two frames have the same name",
        "rename one, or make one row of both by `quantity`";
    LIP_TOO_WIDE = "E106", "the lip of a moulding is not narrower than its face",
        "measure both: the lip is a part of the face";
    NO_WINDOW = "E107", "the overlap of the mat leaves no window",
        "give less overlap, or `mount = \"float\"` for art that lies open in its window";
    EXCLUDES = "E108", "two entries exclude each other",
        "keep one of the two";
    SIDES = "E109", "the number of sides of a frame is out of range",
        "give a number in the range that is named; leave `sides` empty for a rectangle";
    NO_BORDER = "E110", "a mat is left without a border",
        "give `mat-border`, or the border of each side";
    MOULDING_NEEDED = "E111", "a frame names no moulding and the job does not have exactly one",
        "name one of the mouldings";
    NEEDS = "E112", "an entry needs another one",
        "add the entry that is named, or take away the one that needs it";
    NO_SIGHT = "E113", "the lips of a moulding cover the whole package",
        "give a narrower lip, or a larger mat";
    NO_OPPOSITE_SIDES = "E114", "a frame without opposite sides is to have them alike",
        "choose `frame`, `adjacent` or `none` for this frame's grain";
    UNKNOWN_WOOD = "E115", "a moulding is not made in a wood",
        "correct the wood, or add it to the `woods` of the moulding";
    WOOD_NEEDED = "E116", "a row names no wood, and its moulding is made in several",
        "name one of the woods of the moulding";
    HOOK_IN_SIGHT = "E119", "a wire is to be drawn up to the top edge of its frame, where the hook would be seen",
        "give less `wire-rise`, or more `hanger-drop`";
    KEYS_TOO_THICK = "E120", "keys leave no wood of a corner, or are thicker than deep",
        "give fewer `keys`, or a smaller `key-kerf`";
    NO_COVER = "E121", "the margins of a dust cover leave nothing of it",
        "give less `dust-cover-margin`";
    UNKNOWN_SPACER = "E122", "a spacer is unknown",
        "correct the name, or add a `[[spacers]]` table for it";
    DUPLICATE_SPACER = "E123", "two spacers have the same name",
        "rename one of the two";
    SPACERS_MEET = "E124", "the strips of a spacer leave nothing open between them",
        "give the spacer less `width`";
    OVAL_RAILS = "E125", "an oval has no mat, and the rails of an oval frame are not straight",
        "give it a mat; the frame round its oval window then has four straight rails";
    DUPLICATE_HARDWARE = "E126", "two kinds of hardware have the same name, or are for the same use",
        "rename one, or list only the one that is to be counted";
    NOT_A_WEIGHT = "E127", "a text is not a weight",
        "write it as in `20 lb`, `9 kg`, `450 g` or `12 oz`";
    DUPLICATE_BOARD = "E201", "two boards have the same name",
        "rename one, or make one row of both by `quantity`";
    BOARD_FOOT_SIZE = "E202", "a price by the face or volume of wood needs width and thickness",
        "give the board's width and thickness, or a price each";
    TRIM_EATS_BOARD = "E203", "the end trim leaves nothing of a board",
        "give less `end-trim`, or take the board off the list";
    BOARD_TOO_DEAR = "E204", "one board costs more than the limit",
        "check the decimal point and the unit of the price";
    STRAIGHTENING_EATS_BOARD = "E205", "straightening leaves nothing of a board's width",
        "give less `straightening`, or correct the board's width";
    NOMINAL_SIZE = "E206", "a nominal size, or a surfaced thickness, is unknown",
        "take a size that the hint lists, or give `thickness` and `width` as measured";
    UNKNOWN_BOARD = "E210", "a way of buying, or a frame, names a board that the job does not have",
        "correct the name, or add the board to the job";
    DUPLICATE_WAY = "E211", "two ways of buying have the same name",
        "rename one of the two";
    YARD_PRICE = "E212", "a board of a yard's list has no price though the job's boards have one",
        "add its price; without one it would count as paid for";
    TOO_MANY_YARD_CUTS = "E213", "a board can be cut at the yard in too many ways",
        "give a larger step in `yard-cuts`, or list the places at which the yard is to cut";
    NOTHING_BOUGHT = "E214", "the table of what was bought says of no board how many",
        "fill in its column `bought`, or leave `bought` out of the job until then";
    NOT_DEFECTS = "E220", "a text is not a list of defects",
        "write it as in `31 to 34 1/2` or `0 to 66 left 3/4; 70 to 71`";
    DEFECT_MISPLACED = "E221", "a defect lies beyond its board, or two of them overlap",
        "measure again from the near end; make one stretch of two that overlap";
    NOTHING_CLEAR = "E222", "defects leave nothing of a board clear",
        "take the board off the list, or correct its defects";
    TRIM_EATS_SHEET = "E230", "the trim at its edges leaves nothing of a sheet",
        "give less `trim`, or correct the size of the sheet";
    DUPLICATE_SHEET_LABEL = "E231", "two sheets on the rack have the same label",
        "write another label on one, or make one row of both by `quantity`";
    SHEET_PRICE = "E232", "a size of sheet has no price though another of its kind has one",
        "add its price; without one it would count as paid for";
    NO_PARTS = "E301", "a job has no frames and no pieces",
        "add `frames` or `pieces`";
    NO_BOARDS = "E302", "a job has no boards",
        "add `boards`, `tally` or `rack`";
    PART_TOO_LONG = "E303", "a part is longer than every suitable board",
        "add a longer board, or make the part of two pieces";
    NO_SUITABLE_BOARD = "E304", "no board suits a moulding or a piece",
        "add a board of that material, thickness and width, or leave these empty where they do not matter";
    TOO_MANY_PARTS = "E305", "a job has more parts than the limit",
        "divide the job into two";
    DUPLICATE_PIECE = "E306", "two pieces have the same name",
        "rename one, or make one row of both by `quantity`";
    CHAIN_TOO_LONG = "E307", "rails that are to come from one strip are longer than every suitable board",
        "add the board that is named, or allow pairs by `long-chains`";
    CHOSEN_BOARD_UNSUITABLE = "E308", "the board chosen for a frame does not suit its moulding",
        "choose a board of the moulding's wood, thickness and width, or leave `board` empty";
    NO_CUTS_NAMED = "E401", "a text does not name cuts",
        "write mark and cuts as in `C:1-3`, or board, number and cuts as in `ash 8 ft#1:1-3`";
    UNKNOWN_CUT = "E402", "a cut is marked that the plan does not have, or that is not to be made any more",
        "compare with the cut list of this very plan";
    MARKED_TWICE = "E403", "a cut is marked in two ways",
        "mark each cut `cut` or `spoiled`, not both";
    OTHER_PLAN = "E404", "a cut list with marks belongs to another plan",
        "give the plan that was written together with this list";
    GOOD_LENGTH = "E405", "a good length is not one: longer than the part, or of a cut that is not spoiled",
        "measure the clear stretch along the outer edge, and give it only beside `spoiled`";
    NOT_MEASURED = "E406", "what was measured names no board of the plan, or is no length and no stretch",
        "write it as in `A=94 1/2` for a length, and `A=30 to 31 1/2` for a knot";
    LIST_AS_READ = "N001", "a list is not quite in the form of a table, and this is what was made of it",
        "nothing need be done where it is right; else rename the headings or take the rows away";
    SHALLOW_RABBET = "W101", "the package is deeper than the rabbet",
        "take a deeper moulding or a thinner package, or leave the back standing out on purpose";
    NO_EFFECT = "W102", "an entry has no effect",
        "take the entry away, or add what it needs to work";
    OUT_OF_SCALE = "W103", "a size is far from the others of its row or list, as if it were in another unit",
        "write the unit behind the number if another one is meant; else nothing need be done";
    NO_PLAY = "W104", "a frame inside of another has no play in the rabbet that holds it",
        "give some `liner-play`, as wood swells and no frame is quite square; else nothing need be done";
    OUT_OF_PROPORTION = "W105", "a board's price is far from those of all others of its wood, as if its decimal were misplaced",
        "check the decimal of the price, and what it is for; if it is right, nothing need be done";
    THICK_PAPER = "W106", "paper for dust covers is thicker than paper comes",
        "write the unit behind its `thickness`, as in `0.1 mm`, or leave it out";
    PRICE_MISSING = "W201", "a board has no price though others have one",
        "add the price; until then the board counts as paid for";
    BOARD_UNUSED = "W202", "a board is too narrow, or of a wrong thickness, for everything in the job",
        "nothing need be done; if it should be used, correct its size or material";
    WHOLE_BOARDS = "W203", "a piece without a width takes boards whole where others are ripped",
        "give the piece a `width` if it is to be ripped from a board";
    WOOD_MISSPELLED = "W210", "a board is of a wood that nothing asks for, with a name near to one that something does",
        "correct the name of the wood; if it is another wood, nothing need be done";
    BEYOND_VEHICLE = "W211", "a part fits only boards that are longer than the vehicle takes",
        "have a long board brought and give a larger `longest`; until then the part is missing";
    LEFT_BY_ITSELF = "W212", "the rack has pieces that this very job has left",
        "what was cut stands in the papers and tables of its plan; if more is to be cut, give the job another `title`";
}
