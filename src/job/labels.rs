//! Sheets of labels: how many lie on one, where, and in which order they are printed.

use crate::length::{Length, Unit};

/// A sheet of labels, all alike, in columns and rows; as sold, or plain paper to be cut.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct LabelSheet {
    /// What it is printed on.
    pub paper: Paper,
    /// Labels side by side, 1 or more.
    pub columns: u32,
    /// Labels below each other, 1 or more.
    pub rows: u32,
    /// Width of one.
    pub width: Length,
    /// Height of one.
    pub height: Length,
    /// Between two columns.
    pub gap_across: Length,
    /// Between two rows.
    pub gap_down: Length,
    /// From the left edge of the paper to the first column.
    pub left: Length,
    /// From the top edge to the first row.
    pub top: Length,
    /// How far all of them are moved to the right, as a test print asks; to the left where it is negative.
    pub shift_right: Length,
    /// How far they are moved down; up where it is negative.
    pub shift_down: Length,
    /// In which order.
    pub order: LabelOrder,
}

/// Paper of a standard size, upright.
///
/// # Source
/// Published: W3C, CSS Paged Media Module Level 3, page sizes: A4 is 210 by 297 mm, letter 8.5 by 11 in.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Paper {
    /// 210 by 297 mm.
    A4,
    /// 8 1/2 by 11 in.
    Letter,
}

/// In which order the labels of rails are printed.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum LabelOrder {
    /// As the rails come off the saw, stop by stop.
    Stops,
    /// Frame by frame.
    Frames,
}

/// Where a label lies.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct LabelPlace {
    /// Which sheet, from 0.
    pub sheet: usize,
    /// Row on the sheet, from 0.
    pub row: usize,
    /// Column, from 0.
    pub column: usize,
}

impl Paper {
    /// What printers hold where a unit is used: letter with inches and feet, else A4.
    pub fn usual(unit: Unit) -> Paper {
        if unit.is_imperial() {
            Paper::Letter
        } else {
            Paper::A4
        }
    }

    /// Width and height.
    pub fn size(self) -> (Length, Length) {
        match self {
            Paper::A4 => (Length::MILLIMETRE * 210, Length::MILLIMETRE * 297),
            Paper::Letter => (
                Length::from_nm(Length::INCH.nm() * 17 / 2),
                Length::INCH * 11,
            ),
        }
    }
}

impl LabelSheet {
    /// What is meant where a job says nothing, in the middle of its paper: 3 by 10 of 2 5/8 by 1 in with 1/8 in between columns on
    /// letter, 3 by 8 of 70 by 37 mm on A4.
    ///
    /// # Source
    /// Sizes of sheets of labels as they are sold: common practice, no source.
    pub fn usual(paper: Paper) -> LabelSheet {
        let eighths = |count: i64| Length::from_nm(Length::INCH.nm() / 8 * count);
        let (rows, width, height, gap_across) = match paper {
            Paper::A4 => (
                8,
                Length::MILLIMETRE * 70,
                Length::MILLIMETRE * 37,
                Length::ZERO,
            ),
            Paper::Letter => (10, eighths(21), Length::INCH, eighths(1)),
        };
        let sheet = LabelSheet {
            paper,
            columns: 3,
            rows,
            width,
            height,
            gap_across,
            gap_down: Length::ZERO,
            left: Length::ZERO,
            top: Length::ZERO,
            shift_right: Length::ZERO,
            shift_down: Length::ZERO,
            order: LabelOrder::Stops,
        };
        let (left, top) = sheet.centered();
        LabelSheet { left, top, ..sheet }
    }

    /// Width and height of all its labels with the gaps between them.
    pub fn labels_size(&self) -> (Length, Length) {
        let along = |count: u32, size: Length, gap: Length| {
            let count = i64::from(count);
            size * count + gap * (count - 1)
        };
        (
            along(self.columns, self.width, self.gap_across),
            along(self.rows, self.height, self.gap_down),
        )
    }

    /// Left and top margin with which its labels lie in the middle of the paper; negative where they do not fit on it.
    ///
    /// # Source
    /// Derived: `(page - c w - (c - 1) gap) / 2`.
    pub fn centered(&self) -> (Length, Length) {
        let (paper, labels) = (self.paper.size(), self.labels_size());
        let half = |length: Length| Length::from_nm(length.nm().div_euclid(2));
        (half(paper.0 - labels.0), half(paper.1 - labels.1))
    }

    /// Where the label at this position lies, row by row.
    ///
    /// # Panics
    /// On no machine that this runs on: a count of labels fits its numbers.
    pub fn place(&self, position: usize) -> LabelPlace {
        let size = |count: u32| usize::try_from(count.max(1)).expect("a count of labels is small");
        let (columns, rows) = (size(self.columns), size(self.rows));
        LabelPlace {
            sheet: position / columns / rows,
            row: position / columns % rows,
            column: position % columns,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Margins in micrometers of labels in columns and rows, of a size and with a gap in nanometers.
    fn margins(
        paper: Paper,
        (columns, rows): (u32, u32),
        size: (i64, i64),
        gap: i64,
    ) -> (i64, i64) {
        let sheet = LabelSheet {
            paper,
            columns,
            rows,
            width: Length::from_nm(size.0),
            height: Length::from_nm(size.1),
            gap_across: Length::from_nm(gap),
            ..LabelSheet::usual(Paper::A4)
        };
        let (left, top) = sheet.centered();
        (left.nm() / 1_000, top.nm() / 1_000)
    }

    #[test]
    fn labels_lie_in_the_middle_of_their_paper() {
        // Sizes: common practice, no source; margins derived: (210 - 3 * 70) / 2 = 0, (297 - 8 * 37) / 2 = 0.5 mm, and so on.
        let gap = 2_540_000;
        assert_eq!(
            margins(Paper::A4, (3, 8), (70_000_000, 37_000_000), 0),
            (0, 500)
        );
        assert_eq!(
            margins(Paper::A4, (3, 7), (63_500_000, 38_100_000), gap),
            (7_210, 15_150)
        );
        assert_eq!(
            margins(Paper::A4, (2, 7), (99_100_000, 38_100_000), gap),
            (4_630, 15_150)
        );
        // 3/16 and 1/2 in; 5/32 and 1/2 in.
        let letter = margins(Paper::Letter, (3, 10), (66_675_000, 25_400_000), 3_175_000);
        assert_eq!(letter, (4_762, 12_700));
        let wide = margins(Paper::Letter, (2, 5), (101_600_000, 50_800_000), 4_762_500);
        assert_eq!(wide, (3_968, 12_700));
        let usual =
            [Unit::Inch, Unit::Millimeter].map(|unit| LabelSheet::usual(Paper::usual(unit)));
        let nm = usual.map(|sheet| (sheet.left.nm(), sheet.top.nm()));
        // Derived: (8.5 - 3 * 2.625 - 2 * 0.125) / 2 = 0.1875 in, (11 - 10) / 2 = 0.5 in.
        assert_eq!(nm, [(4_762_500, 12_700_000), (0, 500_000)]);
        assert!(margins(Paper::A4, (4, 8), (70_000_000, 37_000_000), 0).0 < 0);
    }

    #[test]
    fn labels_fill_rows_and_then_sheets() {
        let sheet = LabelSheet::usual(Paper::A4);
        let place = |sheet, row, column| LabelPlace { sheet, row, column };
        assert_eq!(sheet.place(0), place(0, 0, 0));
        assert_eq!(sheet.place(23), place(0, 7, 2));
        assert_eq!(sheet.place(28), place(1, 1, 1));
    }
}
