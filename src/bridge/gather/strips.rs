//! Parts exchanged between the strips of boards that are ripped, and between the clear runs of boards with defects, while
//! that leaves the wood better. The boards stay, and how each is ripped, but a strip of which all parts are gone is not
//! ripped at all.

use crate::bridge::{Origins, Place};
use crate::cutting::{BoardUse, Instance, Pattern, add_count};
use crate::job::Job;
use crate::length::Length;
use crate::stock::{Board, Defect};

/// Exchanges that are looked at before the search ends: some hundredths of a second.
const MOST_STEPS: u32 = 60_000;

/// A clear run of a strip with what is cut from it.
#[derive(Clone, Debug)]
struct Run {
    /// Position of the board.
    board: usize,
    place: Place,
    /// Kind of strip of the instance.
    kind: usize,
    /// Nanometers from its beginning to its end.
    length: i64,
    /// `(item, count)`, items rising.
    counts: Vec<(usize, u32)>,
}

/// The runs of some boards, and how the parts are divided among them.
struct Division<'a> {
    instance: &'a Instance,
    origins: &'a Origins,
    shortest_kept: i64,
    runs: Vec<Run>,
}

/// `boards` one by one, with the same parts in all, better divided among their strips.
pub(super) fn search(
    job: &Job,
    instance: &Instance,
    origins: &Origins,
    boards: &[BoardUse],
) -> Vec<BoardUse> {
    let mut single: Vec<BoardUse> = boards
        .iter()
        .flat_map(|board| {
            let times = usize::try_from(board.times).expect("a count of boards fits memory");
            let one = BoardUse {
                times: 1,
                ..board.clone()
            };
            std::iter::repeat_n(one, times)
        })
        .collect();
    let mut division = Division::new(job, instance, origins, &single);
    division.improve();
    for board in &mut single {
        board.patterns.clear();
    }
    for run in division.runs {
        single[run.board]
            .patterns
            .push(Pattern { counts: run.counts });
    }
    single
}

impl<'a> Division<'a> {
    fn new(
        job: &Job,
        instance: &'a Instance,
        origins: &'a Origins,
        boards: &[BoardUse],
    ) -> Division<'a> {
        let mut runs = Vec::new();
        for (position, board) in boards.iter().enumerate() {
            let kinds = &instance.stocks[board.stock].layouts[board.layout].strips;
            let places = &origins.places[board.stock][board.layout];
            for ((&kind, &place), pattern) in kinds.iter().zip(places).zip(&board.patterns) {
                let of = &job.boards[origins.board_indices[board.stock]];
                let parting = &origins.partings[board.stock][board.layout];
                let wood = of.stretch(parting.runs(of)[place.stretch]);
                let section = &origins.items[instance.strips[kind].items[0]];
                runs.push(Run {
                    board: position,
                    place,
                    kind,
                    length: length_of_run(job, &wood, section.width, place),
                    counts: pattern.counts.clone(),
                });
            }
        }
        Division {
            instance,
            origins,
            // A piece of no length is none.
            shortest_kept: job.shop.shortest_offcut.nm().max(1),
            runs,
        }
    }

    /// Makes the first exchange found that leaves the wood better, until there is none.
    fn improve(&mut self) {
        let mut steps = 0;
        let mut improved = true;
        while improved {
            improved = false;
            for one in 0..self.runs.len() {
                for other in 0..self.runs.len() {
                    if one != other && self.exchange(one, other, &mut steps) {
                        improved = true;
                    }
                    if steps >= MOST_STEPS {
                        return;
                    }
                }
            }
        }
    }

    /// Moves some of an item of run `one` to run `other`, for some of another item or for nothing, where that is better.
    fn exchange(&mut self, one: usize, other: usize, steps: &mut u32) -> bool {
        let before = self.score([one, other]);
        let (mine, yours) = (
            self.runs[one].counts.clone(),
            self.runs[other].counts.clone(),
        );
        for &(item, most) in &mine {
            if !self.is_open(other, item) {
                continue;
            }
            let nothing = (item, 0);
            for &(back, most_back) in yours.iter().chain([&nothing]) {
                if back == item && most_back > 0 || !self.is_open(one, back) {
                    continue;
                }
                for count in 1..=most {
                    for count_back in most_back.min(1)..=most_back {
                        *steps += 1;
                        if *steps >= MOST_STEPS {
                            return false;
                        }
                        let here = changed(&mine, (item, count), (back, count_back));
                        let there = changed(&yours, (back, count_back), (item, count));
                        if !self.fits(one, &here) || !self.fits(other, &there) {
                            continue;
                        }
                        self.runs[one].counts = here;
                        self.runs[other].counts = there;
                        if self.score([one, other]) > before && self.is_used(self.runs[one].board) {
                            return true;
                        }
                        self.runs[one].counts.clone_from(&mine);
                        self.runs[other].counts.clone_from(&yours);
                    }
                }
            }
        }
        false
    }

    fn is_open(&self, run: usize, item: usize) -> bool {
        let kind = &self.instance.strips[self.runs[run].kind];
        kind.items.binary_search(&item).is_ok()
    }

    fn fits(&self, run: usize, counts: &[(usize, u32)]) -> bool {
        let sizes = counts
            .iter()
            .map(|&(item, count)| self.instance.items[item].size * i64::from(count));
        sizes.sum::<i64>() <= self.instance.strips[self.runs[run].kind].capacity
    }

    /// Whether anything is cut from a board.
    fn is_used(&self, board: usize) -> bool {
        let mut runs = self.runs.iter();
        runs.any(|run| run.board == board && !run.counts.is_empty())
    }

    /// The squares of what is kept of the strips of these runs, added up; larger is better.
    fn score(&self, runs: [usize; 2]) -> i128 {
        let strip_of = |run: usize| (self.runs[run].board, self.runs[run].place.strip);
        let [one, other] = runs.map(strip_of);
        if one == other {
            self.strip_score(one)
        } else {
            self.strip_score(one) + self.strip_score(other)
        }
    }

    /// A piece reaches from the last cut of a run over all that follow without cuts; it is kept for its longest clear
    /// stretch. A strip without cuts is not ripped, and stays one piece.
    fn strip_score(&self, (board, strip): (usize, usize)) -> i128 {
        let runs = self.runs.iter();
        let of_strip = runs.filter(|run| (run.board, run.place.strip) == (board, strip));
        let mut pieces = vec![0];
        for run in of_strip {
            let left = self.left(run);
            if run.counts.is_empty() {
                let last = pieces.last_mut().expect("there is one from the start");
                *last = left.max(*last);
            } else {
                pieces.push(left);
            }
        }
        let kept = pieces
            .into_iter()
            .filter(|&piece| piece >= self.shortest_kept);
        kept.map(|piece| i128::from(piece) * i128::from(piece))
            .sum()
    }

    /// What is left of a run behind its last cut.
    fn left(&self, run: &Run) -> i64 {
        let mut left = run.length;
        let mut likeness = None;
        for &(item, count) in &run.counts {
            let origin = &self.origins.items[item];
            if origin.is_left {
                continue;
            }
            left -= self.instance.items[item].size * i64::from(count);
            // Each run of turned rails reaches one overlap further than its parts count.
            let own = (origin.kerf_along, origin.overlap);
            if likeness.replace(own) != Some(own) {
                left -= origin.overlap.nm();
            }
        }
        left.max(0)
    }
}

/// Counts with so many of one item less, and so many of another more.
fn changed(counts: &[(usize, u32)], less: (usize, u32), more: (usize, u32)) -> Vec<(usize, u32)> {
    let mut changed = counts.to_vec();
    for (item, count) in &mut changed {
        if *item == less.0 {
            *count -= less.1;
        }
    }
    if more.1 > 0 {
        add_count(&mut changed, more.0, more.1);
    }
    changed.retain(|count| count.1 > 0);
    changed
}

/// How far a clear run reaches: to the next defect in its strip, or to the trim.
fn length_of_run(job: &Job, board: &Board, section_width: Option<Length>, place: Place) -> i64 {
    // Only where a defect leaves part of the width clear do strips have places of their own.
    let placed = job.shop.rip.as_ref().zip(place.from_edge);
    let hits = |defect: &Defect| match (placed, section_width) {
        (Some((rip, begin)), Some(width)) => {
            defect.reaches(board, rip, (begin, begin + rip.strip_width(width)))
        }
        _ => true,
    };
    let end = board.length - job.shop.end_trim;
    let next = board.defects.iter().filter(|defect| hits(defect));
    let next = next
        .map(|defect| defect.from)
        .filter(|&from| from >= place.from);
    let ends = next.chain([end]).min();
    (ends.expect("there is the trim") - place.from).nm()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::bridge::lower;
    use crate::job::Ends;
    use crate::samples::{board, empty_job, inches, piece};
    use crate::stock::Across;

    #[test]
    fn a_run_reaches_to_the_next_defect_or_to_the_trim() {
        let knot = Defect {
            from: inches(20),
            to: inches(22),
            across: Across::Full,
        };
        let mut job = empty_job();
        job.shop.end_trim = inches(1);
        job.boards = vec![Board {
            defects: vec![knot],
            ..board("stick", inches(60), None)
        }];
        let length = |from| {
            let place = Place {
                strip: 0,
                stretch: 0,
                from_edge: None,
                from: inches(from),
            };
            length_of_run(&job, &job.boards[0], None, place)
        };
        assert_eq!(length(5), inches(15).nm());
        // Derived: 60 in, less the trim of 1 in and what lies before.
        assert_eq!(length(22), inches(37).nm());
    }
    #[test]
    fn what_is_left_of_a_strip_is_one_piece_over_runs_without_cuts() {
        let mut job = empty_job();
        job.shop.kerf = Length::ZERO;
        job.pieces = vec![piece("bar", inches(10), 1, Ends::Square)];
        job.boards = vec![board("stick", inches(60), None)];
        let (instance, origins) = lower(&job);
        let run = |length, counts| Run {
            board: 0,
            place: Place {
                strip: 0,
                stretch: 0,
                from_edge: None,
                from: Length::ZERO,
            },
            kind: 0,
            length: inches(length).nm(),
            counts,
        };
        let score = |shortest_kept, runs| {
            let division = Division {
                instance: &instance,
                origins: &origins,
                shortest_kept,
                runs,
            };
            division.strip_score((0, 0))
        };
        // Derived: 10 in of 20 are left behind the bar, and 30 in of the next run are the longest stretch of that piece.
        let longest = inches(30).nm();
        let squared = i128::from(longest) * i128::from(longest);
        let runs = || vec![run(20, vec![(0, 1)]), run(30, Vec::new())];
        assert_eq!(score(1, runs()), squared);
        assert_eq!(score(longest, runs()), squared);
        assert_eq!(score(longest + 1, runs()), 0);
    }
}
