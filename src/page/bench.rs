//! The bench: one setting of the stop, or one board, at a time; each cut a tile to tap.

use std::collections::BTreeSet;

use askama::Template;

use crate::length::Length;
use crate::paper::svg::board::stretched;
use crate::paper::{Words, blocks_html, named};
use crate::plan::{CutLabel, part_label};
use crate::report::document::{Block, Show};
use crate::report::naming::{batch_name, board_name, stop_measures, stop_word};
use crate::report::sections::rest_sheet;
use crate::stations::{CutRef, is_measured_elsewhere, stop_figure};
use crate::tally::Summary;

use super::action::From;
use super::state::{AtBench, Cutting, Work};

type Place = crate::replan::Place;

/// Before the plan is at the bench.
#[derive(Template)]
#[template(path = "lay.html", config = "src/page/askama.toml")]
struct Lay {
    fault: Option<String>,
    is_ready: bool,
    folder: String,
    command: String,
}

#[derive(Template)]
#[template(path = "bench.html", config = "src/page/askama.toml")]
struct Bench {
    /// What changed when the rest was planned anew last.
    changed: Option<String>,
    /// What did not.
    unchanged: String,
    replans: bool,
    /// What is to be done before one cuts on.
    warnings: Vec<Warning>,
    by_stop: bool,
    /// Whether cuts can only be ticked.
    ticks_only: bool,
    n_made: usize,
    n_cuts: usize,
    now: Option<Now>,
    /// The address of what is shown, which stays as long as that does.
    here: String,
    before: Option<String>,
    next: Option<Next>,
    made: Vec<String>,
    command: String,
}

struct Warning {
    words: String,
    deed: &'static str,
    button: &'static str,
}

/// What is cut now.
struct Now {
    /// What is set or laid on, before the figure.
    lead: String,
    figure: String,
    /// What it is, below the figure.
    about: String,
    drawings: Vec<String>,
    tiles: Vec<Tile>,
    all: Option<String>,
}

struct Next {
    address: String,
    words: String,
    figure: String,
    is_ready: bool,
}

struct Tile {
    id: String,
    stick: String,
    number: String,
    part: String,
    stop: String,
    state: &'static str,
    strip: String,
    cut: String,
    uncut: String,
    spoil: String,
    turned: bool,
}

/// What is to be cut at the bench now; `query` says by what order, and where in it: `by=board&at=3`.
pub(super) fn view(work: &Work, query: &str, from: From) -> askama::Result<String> {
    let at_bench = work.cutting.as_deref();
    let at_bench = at_bench.map(|cutting| (cutting, cutting.bench.as_ref()));
    match at_bench {
        Some((cutting, Ok(at))) => Shown {
            work,
            cutting,
            at,
            from,
        }
        .view(query),
        Some((_, Err(fault))) => lay(work, Some(fault.clone()), from),
        None => lay(work, None, from),
    }
}

fn lay(work: &Work, fault: Option<String>, from: From) -> askama::Result<String> {
    let folder = work.plan_folder().display().to_string();
    Lay {
        fault,
        is_ready: from == From::Here && work.plan().is_some_and(|found| found.exchanges.is_some()),
        command: format!("longpoint plan {} --out {folder}", work.path.display()),
        folder,
    }
    .render()
}

/// The value of a name in a query.
fn asked<'q>(query: &'q str, name: &str) -> Option<&'q str> {
    let pairs = query.split('&').filter_map(|pair| pair.split_once('='));
    pairs
        .filter(|(of, _)| *of == name)
        .map(|(_, value)| value)
        .next()
}

/// A bench as it is shown.
struct Shown<'w> {
    work: &'w Work,
    cutting: &'w Cutting,
    at: &'w AtBench,
    from: From,
}

/// Cuts that are made together: at a setting of the stop, or of a board.
struct Lot<'w> {
    sheet: usize,
    kind: Kind<'w>,
    cuts: Vec<(Place, CutLabel, bool)>,
}

enum Kind<'w> {
    Setting(&'w crate::stations::Batch, &'w crate::stations::Setting),
    /// The position of the board in the plan of its sheet.
    Board(usize),
}

impl<'w> Shown<'w> {
    fn view(&self, query: &str) -> askama::Result<String> {
        let by_stop = asked(query, "by") != Some("board");
        let open = self.at.bench.open();
        let lots = if by_stop {
            self.settings(&open)
        } else {
            self.boards(&open)
        };
        let is_done = |lot: &Lot<'_>| lot.cuts.iter().all(|(place, ..)| self.is_marked(*place));
        let typed = asked(query, "at");
        let typed = typed.and_then(|key| lots.iter().position(|lot| self.key(lot) == key));
        let first_open = lots.iter().position(|lot| !is_done(lot));
        let at = typed.or(first_open).unwrap_or(lots.len().saturating_sub(1));
        let address = |lot: &Lot<'_>| {
            let by = if by_stop { "stop" } else { "board" };
            format!("/bench?by={by}&at={}", self.key(lot))
        };
        let bench = &self.at.bench;
        let made = bench.made();
        let n_marked = open.iter().filter(|place| self.is_marked(**place)).count();
        let n_before = made.made().count();
        let (changed, unchanged) = self.changed().unzip();
        let unchanged = unchanged.unwrap_or_default();
        let now = lots.get(at).map(|lot| self.now(lot, (at, lots.len())));
        let next = lots.get(at + 1).map(|next| Next {
            address: address(next),
            words: if by_stop { "Next stop" } else { "Next board" }.to_owned(),
            figure: self.figure(next),
            is_ready: lots.get(at).is_some_and(is_done),
        });
        Bench {
            changed,
            unchanged,
            replans: self.work.replans,
            warnings: self.warnings(),
            by_stop,
            ticks_only: self.from == From::Tablet,
            n_made: n_before + n_marked,
            n_cuts: n_before + open.len(),
            now,
            here: lots.get(at).map(&address).unwrap_or_default(),
            before: at.checked_sub(1).map(|before| address(&lots[before])),
            next,
            made: self.made_before(),
            command: self.command(),
        }
        .render()
    }

    fn is_marked(&self, place: Place) -> bool {
        self.cutting.marks.is_made(place)
    }

    fn words(&self) -> Words<'_> {
        Words::new(&self.at.bench.job().display)
    }

    /// What is cut at each setting of the stop, sheet after sheet, as far as it is still to be cut.
    fn settings(&self, open: &BTreeSet<Place>) -> Vec<Lot<'w>> {
        let at = self.at;
        let sheets = at.orders.iter().enumerate();
        let lots = sheets.flat_map(|(sheet, order)| {
            let batches = order.batches.iter();
            let settings = batches
                .flat_map(|batch| batch.settings.iter().map(move |setting| (batch, setting)));
            settings.map(move |(batch, setting)| Lot {
                sheet,
                kind: Kind::Setting(batch, setting),
                cuts: open_cuts(sheet, setting.cuts(), open),
            })
        });
        lots.filter(|lot| !lot.cuts.is_empty()).collect()
    }

    /// What is cut from each board, sheet after sheet, as far as it is still to be cut.
    fn boards(&self, open: &BTreeSet<Place>) -> Vec<Lot<'w>> {
        let at = self.at;
        let sheets = at.orders.iter().enumerate();
        let lots = sheets.flat_map(|(sheet, order)| {
            let boards = 0..at.bench.sheets()[sheet].plan.boards.len();
            boards.map(move |board| Lot {
                sheet,
                kind: Kind::Board(board),
                cuts: open_cuts(
                    sheet,
                    order.by_board.iter().filter(|cut| cut.board == board),
                    open,
                ),
            })
        });
        lots.filter(|lot| !lot.cuts.is_empty()).collect()
    }

    /// What stands for a lot in an address: its sheet, and the number of the setting or the mark of the board.
    fn key(&self, lot: &Lot<'_>) -> String {
        let sheet = lot.sheet + 1;
        match lot.kind {
            Kind::Setting(_, setting) => format!("{sheet}.{}", setting.number),
            Kind::Board(_) => format!("{sheet}.{}", self.figure(lot)),
        }
    }

    /// The figure of a setting, or the mark of a board.
    fn figure(&self, lot: &Lot<'_>) -> String {
        match lot.kind {
            Kind::Setting(_, setting) => self.words().length(setting.stop, Show::Needed),
            Kind::Board(board) => self.at.bench.sheets()[lot.sheet]
                .plan
                .marks()
                .chalked(board)
                .to_string(),
        }
    }

    fn now(&self, lot: &Lot<'_>, (at, of): (usize, usize)) -> Now {
        let words = self.words();
        let plan = &self.at.bench.sheets()[lot.sheet].plan;
        let job = &plan.job;
        let (lead, about, drawings) = match lot.kind {
            Kind::Setting(batch, setting) => {
                let elsewhere = is_measured_elsewhere(job, batch.miter, setting.at);
                let elsewhere = if elsewhere {
                    format!(", at the {}", stop_word(setting.at))
                } else {
                    String::new()
                };
                let about = format!(
                    "{}{elsewhere} · setting {} of {of}",
                    words.html(batch_name(job, batch)),
                    at + 1
                );
                let lead = format!(
                    "Set the stop, which measures {}, to",
                    stop_measures(job.shop.stop)
                );
                (lead, about, Vec::new())
            }
            Kind::Board(board) => {
                let about = format!(
                    "{} · board {} of {of}",
                    words.html(board_name(job, plan.boards[board].board_idx)),
                    at + 1
                );
                (
                    "Lay on board".to_owned(),
                    about,
                    self.drawings(lot.sheet, board),
                )
            }
        };
        let open: Vec<String> = lot
            .cuts
            .iter()
            .filter(|(place, ..)| !self.is_marked(*place))
            .map(|(_, label, _)| label.to_string())
            .collect();
        let all = (open.len() > 1).then(|| cut_deed(&open.join(" "), true));
        Now {
            lead,
            figure: self.figure(lot),
            about,
            drawings,
            tiles: lot.cuts.iter().map(|cut| self.tile(lot, cut)).collect(),
            all,
        }
    }

    /// The drawings of a board, or of those that are cut alike.
    fn drawings(&self, sheet: usize, board: usize) -> Vec<String> {
        let plan = &self.at.bench.sheets()[sheet].plan;
        let summary = Summary::new(plan);
        let mut groups = summary.groups.iter().zip(self.at.documents[sheet].boards());
        let group = groups.find(|(group, _)| group.boards.contains(&board));
        let drawings = group.iter().flat_map(|(_, drawn)| {
            let drawings = drawn.drawings.iter().enumerate();
            drawings.map(move |(at, drawing)| {
                stretched(drawn, drawing, &plan.job.display, &format!("board-{at}"))
            })
        });
        drawings.collect()
    }

    fn tile(&self, lot: &Lot<'_>, &(place, label, turned): &(Place, CutLabel, bool)) -> Tile {
        let bench = &self.at.bench;
        let sheet = &bench.sheets()[place.sheet];
        let part = bench.serving().get(&place).copied();
        let part = part.map_or_else(
            || bench.part_name(place),
            |part| part_label(bench.job(), part),
        );
        let planned = &sheet.plan.boards[place.board];
        let cut = &planned.strips[place.strip].cuts[place.cut];
        let stop = stop_figure(&sheet.plan.job, planned, place.strip, cut);
        let label = label.to_string();
        let state = if self.cutting.marks.done.contains(&place) {
            "made"
        } else if self.is_marked(place) {
            "spoiled"
        } else {
            "open"
        };
        let (stick, number) = label.rsplit_once('-').unwrap_or((&label, ""));
        Tile {
            id: format!("cut-{label}"),
            stick: stick.to_owned(),
            number: number.to_owned(),
            part: named(&part),
            stop: match lot.kind {
                Kind::Board(_) => self.words().length(stop.length, Show::Needed),
                Kind::Setting(..) => String::new(),
            },
            state,
            strip: self.strip(place),
            cut: cut_deed(&label, true),
            uncut: cut_deed(&label, false),
            spoil: serde_json::json!({ "spoil": { "cut": label } }).to_string(),
            turned,
        }
    }

    /// The strip that a cut is on, small, the cut itself black.
    fn strip(&self, place: Place) -> String {
        let plan = &self.at.bench.sheets()[place.sheet].plan;
        let board = &plan.boards[place.board];
        let strip = &board.strips[place.strip];
        let stretch = &board.stretches[strip.stretch];
        let whole = i128::from((stretch.to - stretch.from).nm()).max(1);
        // In thousandths of the length.
        let of = |length: Length| i128::from(length.nm()) * 1000 / whole;
        let cuts = strip.cuts.iter().enumerate().map(|(at, cut)| {
            let class = if at == place.cut { "this" } else { "other" };
            let (from, to) = (of(cut.from), of(cut.to));
            format!(
                "<rect class=\"{class}\" x=\"{from}\" y=\"4\" width=\"{}\" height=\"32\"/>",
                (to - from).max(1)
            )
        });
        format!(
            "<svg class=\"strip\" viewBox=\"0 0 1000 40\" preserveAspectRatio=\"none\" aria-hidden=\"true\">\
             <rect class=\"wood\" x=\"0\" y=\"4\" width=\"1000\" height=\"32\"/>{}</svg>",
            cuts.collect::<String>()
        )
    }

    /// What changed when the rest was planned anew, and what did not.
    fn changed(&self) -> Option<(String, String)> {
        let rest = self.cutting.changed.as_ref()?;
        let document = rest_sheet(rest);
        let blocks = document.blocks.iter();
        let blocks = blocks
            .filter(|block| !matches!(block, Block::Title(..)))
            .take_while(|block| !matches!(block, Block::Break));
        let blocks: Vec<&Block> = blocks.collect();
        let is_unchanged = |block: &&Block| matches!(block, Block::Heading("unchanged", _));
        let split = blocks.iter().position(is_unchanged);
        let (changed, unchanged) = blocks.split_at(split.unwrap_or(blocks.len()));
        let html = |blocks, prefix| blocks_html(self.words(), blocks, prefix);
        Some((html(changed, "changed"), html(unchanged, "unchanged")))
    }

    fn warnings(&self) -> Vec<Warning> {
        let replan = "{\"replan\":{}}";
        let mut warnings = Vec::new();
        for fault in &self.cutting.faults {
            warnings.push(Warning {
                words: fault.what.clone(),
                deed: "",
                button: "",
            });
        }
        if self.work.replans {
            return warnings;
        }
        let bench = &self.at.bench;
        let is_begun = !bench.rounds().is_empty() || self.cutting.marks.made().next().is_some();
        if !self.cutting.marks.spoiled.is_empty() {
            warnings.push(Warning {
                words: "A cut is spoiled, and what follows is not planned anew yet.".to_owned(),
                deed: replan,
                button: "Plan the rest anew",
            });
        } else if self.at.has_changed && is_begun {
            warnings.push(Warning {
                words: "The job has changed since this was planned.".to_owned(),
                deed: replan,
                button: "Plan the rest anew",
            });
        } else if !is_begun
            && let Some(found) = self.work.plan()
            && (self.at.has_changed || found.planned.plan.boards != bench.last().plan.boards)
        {
            warnings.push(Warning {
                words: "There is another plan now than the one at the bench.".to_owned(),
                deed: "{\"lay\":{}}",
                button: "Take the new one",
            });
        }
        warnings
    }

    /// The cuts that were made before the newest sheet, each in words.
    fn made_before(&self) -> Vec<String> {
        let bench = &self.at.bench;
        let made = bench.made();
        let labels = bench.labels().into_iter();
        let labels = labels.filter(|(_, place)| made.is_made(*place));
        labels
            .map(|(label, place)| {
                let spoiled = if made.spoiled.contains_key(&place) {
                    ", spoiled"
                } else {
                    ""
                };
                format!("<b>{label}</b> {}{spoiled}", named(&bench.part_name(place)))
            })
            .collect()
    }

    /// The command that does the same.
    fn command(&self) -> String {
        let job = self.work.path.display();
        let list = self
            .cutting
            .list
            .as_ref()
            .map(|list| format!(" --marks {}", list.path.display()));
        format!(
            "longpoint replan {job} {}{} --out {}",
            self.cutting.file.path.display(),
            list.unwrap_or_default(),
            self.cutting.folder.display()
        )
    }
}

fn cut_deed(labels: &str, made: bool) -> String {
    serde_json::json!({ "cut": { "cuts": labels, "made": made } }).to_string()
}

/// Those of some cuts of a sheet that are still to be made, or are marked since the sheet was planned.
fn open_cuts<'c>(
    sheet: usize,
    cuts: impl Iterator<Item = &'c CutRef>,
    open: &BTreeSet<Place>,
) -> Vec<(Place, CutLabel, bool)> {
    let cuts = cuts.map(|cut| {
        let place = Place {
            sheet,
            board: cut.board,
            strip: cut.strip,
            cut: cut.cut,
        };
        (place, cut.label, cut.turned)
    });
    cuts.filter(|(place, ..)| open.contains(place)).collect()
}
