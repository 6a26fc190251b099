//! Findings about dust covers.

use super::Words;
use crate::diag::{Diagnostic, code, quoted};
use crate::job::Subject;

impl Words<'_> {
    pub(super) fn no_cover(&self, frame_idx: usize) -> Diagnostic {
        let what = format!(
            "margins of {} leave nothing of the dust cover of frame {}",
            self.length(self.job.assembly.dust_cover_margin),
            quoted(&self.job.frames[frame_idx].name)
        );
        self.error(Subject::Frame(frame_idx), code::NO_COVER, what)
            .with_hint("give less `dust-cover-margin`".to_owned())
    }

    pub(super) fn two_papers(&self, material_idx: usize, before_idx: usize) -> Diagnostic {
        let what = format!(
            "sheets {} and {} are both for dust covers",
            self.paper(before_idx),
            self.paper(material_idx)
        );
        let hint = "every frame gets one cover: keep the kind that they are cut from, with its sizes in `sheet-stock`";
        self.excluded(material_idx, what, hint.to_owned())
    }

    pub(super) fn paper_and_roll(&self, material_idx: usize, hardware_idx: usize) -> Diagnostic {
        let own = self.paper(material_idx);
        let roll = quoted(&self.job.hardware[hardware_idx].name);
        let what = format!("dust covers come from sheets {own} and off hardware {roll}");
        let hint = format!(
            "each would be counted twice: take {own} out of `[[sheets]]`, or {roll} out of `[[hardware]]`"
        );
        self.excluded(material_idx, what, hint)
    }

    /// What paper in sheets is called.
    fn paper(&self, material_idx: usize) -> String {
        let name = self.job.materials[material_idx].name.as_deref();
        quoted(name.unwrap_or_default())
    }

    /// Sheets that may not stand beside something else.
    fn excluded(&self, material_idx: usize, what: String, hint: String) -> Diagnostic {
        let place = self.origins.materials[material_idx].place();
        Diagnostic::error(code::EXCLUDES, place, what).with_hint(hint)
    }
}
