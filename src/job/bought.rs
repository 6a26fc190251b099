//! What was really bought, and what is still to be bought beyond it.

use super::Job;
use crate::money::Money;
use crate::stock::{Board, InHand, Price};

/// What was bought for a job.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Purchase {
    /// The job before anything was bought, with all boards on sale.
    pub before: Job,
    /// What was bought.
    pub lines: Vec<BoughtLine>,
}

/// Boards alike that were bought.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct BoughtLine {
    /// The name on the list that they were bought by; boards of one name may differ in what was measured.
    pub label: String,
    /// The boards as they are, in hand, at what was paid, under a name of their own.
    pub board: Board,
}

impl Job {
    /// The job once its last boards are bought, each by the name in `labels`: it is cut from them and from the rack, and no
    /// others are on sale. Who has chosen a board has chosen those that were bought by its name.
    ///
    /// # Panics
    /// If there are more labels than boards.
    #[must_use]
    pub fn with_bought(&self, labels: Vec<String>) -> Job {
        let (listed, bought) = self.boards.split_at(self.boards.len() - labels.len());
        let before = self.with_boards_like(listed.to_vec(), |new, old| new == old);
        let lines = labels.into_iter().zip(bought.iter().cloned());
        let lines: Vec<BoughtLine> = lines
            .map(|(label, board)| BoughtLine { label, board })
            .collect();
        let rack = listed.iter().filter(|board| board.in_hand.is_some());
        let boards: Vec<Board> = bought.iter().chain(rack).cloned().collect();
        let names: Vec<&str> = names_to_choose(&lines, &boards);
        let job =
            before.with_boards_like(boards.clone(), |new, old| names[new] == listed[old].name);
        job.varied(|spec| spec.buying.purchase = Some(Purchase { before, lines }))
    }

    /// The job in which more may be bought: money that is spent is spent, so what was bought costs nothing, and the yard has
    /// so much less. `None` where nothing was bought, or the job has no boards on sale.
    ///
    /// # Panics
    /// Never: no board has a quantity beyond its type.
    pub fn beyond_bought(&self) -> Option<Job> {
        let Purchase { before, lines } = self.buying.purchase.as_ref()?;
        let nothing = Price::Each(Money::ZERO);
        let had = lines.iter().map(|BoughtLine { board, .. }| Board {
            name: format!("{}, bought", board.name),
            price: Some(nothing),
            in_hand: board.in_hand.clone().map(|in_hand| InHand {
                value: Some(nothing),
                ..in_hand
            }),
            ..board.clone()
        });
        let n_bought = |name: &str| -> u32 {
            let of_name = lines.iter().filter(|line| line.label == name);
            let counts = of_name.map(|line| line.board.quantity.unwrap_or(0));
            counts.fold(0, u32::saturating_add)
        };
        let listed = before.boards.iter().map(|board| match &board.in_hand {
            Some(_) => board.clone(),
            None => Board {
                quantity: board
                    .quantity
                    .map(|quantity| quantity.saturating_sub(n_bought(&board.name))),
                ..board.clone()
            },
        });
        let boards: Vec<Board> = had.chain(listed).collect();
        boards.iter().find(|board| board.in_hand.is_none())?;
        let names: Vec<&str> = names_to_choose(lines, &boards);
        Some(before.with_boards_like(boards.clone(), |new, old| {
            names[new] == before.boards[old].name
        }))
    }
}

/// The names by which boards are chosen, of which the first were bought.
fn names_to_choose<'a>(lines: &'a [BoughtLine], boards: &'a [Board]) -> Vec<&'a str> {
    let others = boards[lines.len()..]
        .iter()
        .map(|board| board.name.as_str());
    let bought = lines.iter().map(|line| line.label.as_str());
    bought.chain(others).collect()
}
