//! The codes of all diagnostics: stable, so that scripts and notes may refer to them.

/// Makes one documented constant for each code, and the list of all of them.
macro_rules! codes {
    ($($name:ident = $code:literal, $meaning:literal;)*) => {
        $(#[doc = $meaning] pub const $name: &str = $code;)*

        /// Every code with its meaning, in the order of the codes.
        pub const ALL: &[(&str, &str)] = &[$(($code, $meaning)),*];
    };
}

codes! {
    FILE_MISSING = "E001", "a file is missing";
    FILE_IS_DIRECTORY = "E002", "a path names a directory, not a file";
    FILE_NOT_TEXT = "E003", "a file is not UTF-8 text";
    FILE_TOO_LARGE = "E004", "a file is larger than the limit";
    TOML_SYNTAX = "E005", "the job file is not TOML";
    UNKNOWN_KEY = "E006", "a key is unknown";
    WRONG_TYPE = "E007", "a key has a value of the wrong type";
    MISSING_KEY = "E008", "a key is missing";
    UNKNOWN_COLUMN = "E009", "a column is unknown";
    MISSING_COLUMN = "E010", "a column is missing";
    DUPLICATE_COLUMN = "E011", "a column appears twice";
    FIELD_COUNT = "E012", "a row has more or fewer fields than the header";
    NOT_A_LENGTH = "E013", "a text is not a length";
    LENGTH_NOT_EXACT = "E014", "a length is not a whole number of nanometers";
    LENGTH_RANGE = "E015", "a length is zero, negative or too long";
    NOT_A_QUANTITY = "E016", "a text is not a quantity, or out of range";
    NOT_A_PRICE = "E017", "a text is not a price, or out of range";
    NOT_ALLOWED = "E018", "a text is not one of the allowed words";
    FILE_UNREADABLE = "E019", "a file cannot be read";
    OPEN_QUOTE = "E020", "a quoted field runs over several lines";
    EMPTY_FIELD = "E021", "a field is empty that must be filled";
    BAD_NAME = "E022", "a name is too long or has control characters";
    TOO_MANY_ERRORS = "E023", "reading ended because a file has too many errors";
    TOO_MANY_ROWS = "E024", "a table has more rows than the limit";
    FILE_OUTSIDE = "E025", "a job names a file outside of its folder";
    FILE_SPECIAL = "E026", "a path names a pipe or a device, not a file";
    UNKNOWN_MOULDING = "E101", "a moulding is unknown";
    UNKNOWN_SHEET = "E102", "a sheet is unknown, or meant for another use";
    DUPLICATE_MOULDING = "E103", "two mouldings have the same name";
    DUPLICATE_SHEET = "E104", "two sheets have the same name";
    DUPLICATE_FRAME = "E105", "two frames have the same name";
    LIP_TOO_WIDE = "E106", "the lip of a moulding is not narrower than its face";
    NO_WINDOW = "E107", "the overlap of the mat leaves no window";
    EXCLUDES = "E108", "two entries exclude each other";
    SIDES = "E109", "the number of sides of a frame is out of range";
    NO_BORDER = "E110", "a mat is left without a border";
    MOULDING_NEEDED = "E111", "a frame names no moulding and the job does not have exactly one";
    NEEDS = "E112", "an entry needs another one";
    NO_SIGHT = "E113", "the lips of a moulding cover the whole package";
    NO_OPPOSITE_SIDES = "E114", "a frame without opposite sides is to have them alike";
    DUPLICATE_BOARD = "E201", "two boards have the same name";
    BOARD_FOOT_SIZE = "E202", "a price per board foot needs width and thickness";
    TRIM_EATS_BOARD = "E203", "the end trim leaves nothing of a board";
    BOARD_TOO_DEAR = "E204", "one board costs more than the limit";
    STRAIGHTENING_EATS_BOARD = "E205", "straightening leaves nothing of a board's width";
    NOMINAL_SIZE = "E206", "a nominal size, or a surfaced thickness, is unknown";
    UNKNOWN_BOARD = "E210", "a way of buying names a board that the job does not have";
    DUPLICATE_WAY = "E211", "two ways of buying have the same name";
    YARD_PRICE = "E212", "a board of a yard's list has no price though the job's boards have one";
    NOT_DEFECTS = "E220", "a text is not a list of defects";
    DEFECT_MISPLACED = "E221", "a defect lies beyond its board, or two of them overlap";
    NOTHING_CLEAR = "E222", "defects leave nothing of a board clear";
    NO_PARTS = "E301", "a job has no frames and no pieces";
    NO_BOARDS = "E302", "a job has no boards";
    PART_TOO_LONG = "E303", "a part is longer than every suitable board";
    NO_SUITABLE_BOARD = "E304", "no board suits a moulding or a piece";
    TOO_MANY_PARTS = "E305", "a job has more parts than the limit";
    DUPLICATE_PIECE = "E306", "two pieces have the same name";
    CHAIN_TOO_LONG = "E307", "rails that are to come from one strip are longer than every suitable board";
    NO_CUTS_NAMED = "E401", "a text does not name cuts";
    UNKNOWN_CUT = "E402", "a cut is marked that the plan does not have, or that is not to be made any more";
    MARKED_TWICE = "E403", "a cut is marked in two ways";
    SHALLOW_RABBET = "W101", "the package is deeper than the rabbet";
    NO_EFFECT = "W102", "an entry has no effect";
    PRICE_MISSING = "W201", "a board has no price though others have one";
    BOARD_UNUSED = "W202", "a board is too narrow, or of a wrong thickness, for everything in the job";
    WHOLE_BOARDS = "W203", "a piece without a width takes boards whole where others are ripped";
}
