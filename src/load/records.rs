//! All records of a job put together, and the job they make checked as a whole.

use std::collections::BTreeSet;
use std::path::Path;

use super::fields::{Fields, Found, Names, Reported, Scope};
use super::findings::{Origins, Words};
use super::frames::{self, Shelf};
use super::labels::read_labels;
use super::prices::read_prices;
use super::record::{Field, Mark, Origin, Record, Source};
use super::sheets::{dust_cover, read_materials, read_sheets};
use super::spacers::{self, Spacers};
use super::table_form::read_form;
use super::tables::{Kept, Table, Tables};
use super::toml_file::{JobFile, TomlText};
use super::woods::{self, Profiles};
use super::{Boards, assembly, boards, bought, hardware, mouldings, pieces, settings, ways};
use crate::diag::{Diagnostic, Diagnostics, STANDARD_INPUT, code, quoted};
use crate::frame::{Frame, Moulding};
use crate::job::{Buying, Finding, Hardware, Job, JobSpec};
use crate::stock::{Board, BoardMeasure, InHandRules};

/// Reads all records, and checks the job made of them.
#[expect(clippy::too_many_lines, reason = "one step for each list of a job")]
pub(super) fn read_records<'a>(
    path: &Path,
    toml: &'a TomlText,
    file: &JobFile<'a>,
    shop_unit: Option<Field<'a>>,
    tables: &Tables<'a>,
    need: Boards,
    faults: &mut Diagnostics,
) -> Found<Job> {
    let scope = settings::read_scope(&file.head, shop_unit, faults);
    let form = read_form(Fields::new(&file.tables, &scope, faults), tables);
    let head = settings::read_head(&file.head, form, &scope, faults);
    let tables_of_shop = settings::ShopTables {
        saw: &file.saw,
        shop: &file.shop,
        rip: file.rip.as_ref(),
        in_hand: &file.in_hand,
    };
    let labels = read_labels(Fields::new(&file.labels, &scope, faults));
    let prices = read_prices(Fields::new(&file.prices, &scope, faults));
    let settings = settings::read_settings(&tables_of_shop, &scope, faults);
    if let (Ok(head), Some(field)) = (&head, file.in_hand.field("stove-after"))
        && head.date.is_none()
    {
        let what = "`stove-after` has no effect without the `date` of the job";
        faults.push(Diagnostic::warning(
            code::NO_EFFECT,
            field.origin.place(),
            what,
        ));
    }

    let assembly = assembly::read_assembly(&file.assembly, &file.hanging, &scope, faults);

    let saw_kerf = settings.as_ref().map(|settings| settings.shop.kerf);
    let saw_kerf = saw_kerf.map_err(|&reported| reported);
    let sheets = read_sheets(&file.sheets, saw_kerf, &scope, faults);
    let spacers = read_spacers(&file.spacers, &scope, faults);
    let of_hardware = read_hardware(&file.hardware, &scope, faults);
    let mut profiles = Profiles::default();
    let mut mouldings = Kept::default();
    for record in &file.mouldings {
        let unique = profiles.names.add(
            record,
            "name",
            code::DUPLICATE_MOULDING,
            "mouldings",
            faults,
        );
        let made = mouldings::read_moulding(Fields::new(record, &scope, faults));
        let made = unique.and(made);
        profiles.add(made.as_deref().ok());
        match made {
            Ok(made) => {
                let is_taken = |name: &str| {
                    let mut before = mouldings.items.iter();
                    before.any(|before: &Moulding| before.name == name)
                };
                let twice = made.iter().find(|one| is_taken(&one.name));
                if let Some(twice) = twice {
                    let what = format!("two mouldings are named {}", quoted(&twice.name));
                    let hint =
                        "a moulding of several `woods` is called by wood and name".to_owned();
                    let place = record.origin.place();
                    faults.push(
                        Diagnostic::error(code::DUPLICATE_MOULDING, place, what).with_hint(hint),
                    );
                }
                for one in made {
                    mouldings.keep(record, Ok(one));
                }
            }
            Err(Reported) => mouldings.keep(record, Err(Reported)),
        }
    }
    // A faulty setting is reported already, and does not matter then.
    let measure = settings
        .as_ref()
        .map_or(BoardMeasure::Exact, |settings| settings.board_measure);
    let in_hand = settings
        .as_ref()
        .map_or_else(|_| InHandRules::default(), |settings| settings.shop.in_hand);
    let (boards, board_names) = read_boards(tables, (measure, &in_hand), &scope, faults);
    let buying = ways::read_buying(
        file,
        tables.yards,
        &ways::Shelf {
            board_names: &board_names,
            boards: &boards,
            measure,
        },
        &scope,
        faults,
    );
    let shelf = Shelf {
        mouldings: &profiles,
        sheets: &sheets,
        spacers: &spacers,
        boards: (need == Boards::Needed).then_some(&board_names),
        mat_overlap: settings.as_ref().ok().map(|settings| settings.mat_overlap),
    };
    let mut frame_names = Names::default();
    let lines = Table::read(tables.frames, faults, |record, faults| {
        let unique = frame_names.add(record, "frame", code::DUPLICATE_FRAME, "frames", faults);
        let frame = frames::read_frame(Fields::new(record, &scope, faults), &shelf);
        unique.and(frame)
    });
    let frames = with_inner(lines, &frame_names, faults);
    let mut piece_names = Names::default();
    let pieces = Table::read(tables.pieces, faults, |record, faults| {
        let unique = piece_names.add(record, "piece", code::DUPLICATE_PIECE, "pieces", faults);
        let piece = pieces::read_piece(Fields::new(record, &scope, faults), &profiles);
        unique.and(piece)
    });

    let dust_cover = dust_cover(&sheets);
    let materials = read_materials(sheets, tables, &scope, faults);

    let whole_file = Origin {
        source: Source::Toml(toml),
        // A line is no place in the job file, so this is the file as a whole.
        mark: Mark::Line(0),
    };
    let lacks = Lacks {
        parts: frames.is_nothing() && pieces.is_nothing(),
        boards: need == Boards::Needed && boards.is_nothing() && tables.bought.is_empty(),
    };
    report_lacks(&lacks, &whole_file, faults);
    let in_hand = boards.items.iter().filter(|board| board.in_hand.is_some());
    let in_hand: Vec<&str> = in_hand.map(|board| board.name.as_str()).collect();
    let yard_cuts = |buying: &Buying| buying.yard_cuts.as_ref().map(|cuts| cuts.kerf);
    let bought = bought::read_bought(
        tables.bought,
        &bought::Terms {
            measure,
            yard_kerf: buying.as_ref().map(yard_cuts).map_err(|&reported| reported),
            taken: &in_hand,
        },
        &scope,
        &whole_file,
        faults,
    );
    // With a faulty board or moulding left out, parts would seem not to fit that do.
    let can_check = boards.is_sound && mouldings.is_sound;
    let (head, settings, buying, bought) = (head?, settings?, buying?, bought?);
    let mut boards = boards;
    ways::cut_at_yard(file, &buying, &mut boards.items, &scope, faults)?;
    let mut spec = JobSpec {
        title: head.title.unwrap_or_else(|| title_of(path)),
        date: head.date,
        display: head.display,
        shop: settings.shop,
        assembly: assembly?,
        labels: labels?,
        prices: prices?,
        hardware: of_hardware?,
        mouldings: mouldings.items,
        frames: frames.items,
        pieces: pieces.items,
        // What was bought is checked with the rest.
        boards: boards.items.into_iter().chain(bought.boards).collect(),
        materials: materials?,
        dust_cover,
        buying,
    };
    let mut origins = Origins {
        mouldings: mouldings.origins,
        frames: frames.origins,
        materials: file.sheets.iter().map(|of| of.origin.clone()).collect(),
        pieces: pieces.origins,
        boards: boards.origins.into_iter().chain(bought.origins).collect(),
    };
    if !can_check {
        return Err(Reported);
    }
    // A piece that follows from a frame or a moulding stands where that does.
    let derived = spec.derive_pieces();
    let derived: Vec<Origin<'_>> = derived.iter().map(|&of| origins.of(of).clone()).collect();
    origins.pieces.extend(derived);
    let mut report = |findings: &[Finding], spec: &JobSpec| {
        let words = Words {
            job: spec,
            origins: &origins,
            job_file: &whole_file,
        };
        for finding in findings {
            // What a shop may buy need not serve every job.
            let is_for_others = matches!(finding, Finding::UnusedBoard { board_idx, .. }
                if origins.boards[*board_idx].source.is_of_shop());
            if !is_for_others {
                faults.push(words.of(finding));
            }
        }
    };
    match Job::new(spec) {
        Ok((job, remarks)) => {
            report(&remarks, &job);
            woods::warn_of_misspelled(&job, &origins.boards, faults);
            Ok(if bought.labels.is_empty() {
                job
            } else {
                job.with_bought(bought.labels)
            })
        }
        Err(refused) => {
            report(&refused.findings, &refused.spec);
            woods::warn_of_misspelled(&refused.spec, &origins.boards, faults);
            Err(Reported)
        }
    }
}

/// The lines of frames with those inside of them, each of which stands where its row does and must have a name of its own.
fn with_inner<'a>(
    lines: Kept<'a, Vec<Frame>>,
    names: &Names<'a>,
    faults: &mut Diagnostics,
) -> Kept<'a, Frame> {
    lines.flat(|frame, origin| {
        if !frame.is_held() || names.find(&frame.name).is_none() {
            return Ok(());
        }
        let what = format!("two frames are named {}", quoted(&frame.name));
        let hint = "one is the liner of another; rename either".to_owned();
        let fault = Diagnostic::error(code::DUPLICATE_FRAME, origin.place(), what);
        faults.push(fault.with_hint(hint));
        Err(Reported)
    })
}

/// What a job has none of.
struct Lacks {
    parts: bool,
    boards: bool,
}

/// Reports what the job cannot do without.
fn report_lacks(lacks: &Lacks, whole_file: &Origin<'_>, faults: &mut Diagnostics) {
    if lacks.parts {
        let what = "the job has no frames and no pieces";
        let hint = "name a table, such as `frames = \"frames.csv\"`, or write `[[frames]]` or `[[pieces]]`";
        faults.push(
            Diagnostic::error(code::NO_PARTS, whole_file.place(), what).with_hint(hint.to_owned()),
        );
    }
    if lacks.boards {
        let what = "the job has no boards";
        let hint = "name a table, such as `boards = \"boards.csv\"`, or write `[[boards]]`";
        faults.push(
            Diagnostic::error(code::NO_BOARDS, whole_file.place(), what).with_hint(hint.to_owned()),
        );
    }
}

/// Reads the spacers.
fn read_spacers<'a>(
    records: &[Record<'a>],
    scope: &Scope,
    faults: &mut Diagnostics,
) -> Spacers<'a> {
    let mut spacers = Spacers::default();
    for record in records {
        let names = &mut spacers.names;
        let unique = names.add(record, "name", code::DUPLICATE_SPACER, "spacers", faults);
        let spacer = spacers::read_spacer(Fields::new(record, scope, faults));
        spacers.spacers.push(unique.and(spacer));
    }
    spacers
}

/// Reads the hardware, whose names must differ; of each use there is one kind, but where each frame takes its own.
fn read_hardware(
    records: &[Record<'_>],
    scope: &Scope,
    faults: &mut Diagnostics,
) -> Found<Vec<Hardware>> {
    let mut names = Names::default();
    let mut all = Ok(Vec::<Hardware>::new());
    for record in records {
        let unique = names.add(
            record,
            "name",
            code::DUPLICATE_HARDWARE,
            "kinds of hardware",
            faults,
        );
        let read = unique.and(hardware::read_hardware(Fields::new(record, scope, faults)));
        all = match (all, read) {
            (Ok(mut before), Ok(one)) => {
                let is_twice = |before: &Hardware| {
                    before.hardware_use == one.hardware_use && !one.hardware_use.is_chosen()
                };
                if let Some(twice) = before.iter().find(|before| is_twice(before)) {
                    let what = format!(
                        "{} and {} are for the same use",
                        quoted(&twice.name),
                        quoted(&one.name)
                    );
                    let place = record.origin.place();
                    let fault = Diagnostic::error(code::DUPLICATE_HARDWARE, place, what);
                    let hint = "list one of the two; only of hangers, wire, hooks and spacers are there several";
                    faults.push(fault.with_hint(hint.to_owned()));
                    Err(Reported)
                } else {
                    before.push(one);
                    Ok(before)
                }
            }
            _ => Err(Reported),
        };
    }
    all
}

/// Reads the boards, then those of the tally, then the rack, with all their names, which must differ throughout; but a
/// board of the job stands for one of its shop of the same name.
fn read_boards<'a>(
    tables: &Tables<'a>,
    (measure, in_hand): (BoardMeasure, &InHandRules),
    scope: &Scope,
    faults: &mut Diagnostics,
) -> (Kept<'a, Board>, Names<'a>) {
    let mut names = Names::default();
    let mut read_board = |record: &Record<'a>, faults: &mut Diagnostics| {
        let unique = names.add(record, "board", code::DUPLICATE_BOARD, "boards", faults);
        let board = boards::read_board(Fields::new(record, scope, faults), measure, in_hand);
        unique.and(board)
    };
    let mut own = BTreeSet::new();
    let mut boards = Table::read_some(tables.boards, faults, |record, faults| {
        let name = record.field("board").map(|field| field.text.clone());
        if record.origin.source.is_of_shop() {
            if name.is_some_and(|name| own.contains(&name)) {
                return Ok(None);
            }
        } else {
            own.extend(name);
        }
        read_board(record, faults).map(Some)
    });
    let mut number = 0;
    boards.append(Table::read(tables.tally, faults, |record, faults| {
        number += 1;
        read_board(&boards::named(record, number), faults)
    }));
    boards.append(Table::read(tables.rack, faults, read_board));
    (boards, names)
}

/// The name of a file without its extension; what has no name of its own is a job.
fn title_of(path: &Path) -> String {
    if path == Path::new(STANDARD_INPUT) {
        return "job".to_owned();
    }
    path.file_stem()
        .unwrap_or_default()
        .to_string_lossy()
        .into_owned()
}
