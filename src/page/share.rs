//! A tablet at the bench: the address that lets it in, as a code to be photographed.

use qrcode::render::unicode::Dense1x2;
use qrcode::{Color, QrCode};

/// White round a code, in modules (ISO/IEC 18004, 5.3.8: four).
const QUIET: usize = 4;

/// An address that lets one tablet in, once.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Share {
    /// The address.
    pub address: String,
}

impl Share {
    /// The address as a code for a camera, for a terminal: half a line to a module, dark on light.
    pub fn terminal_code(&self) -> Option<String> {
        let code = QrCode::new(&self.address).ok()?;
        let mut picture = code.render::<Dense1x2>();
        // Terminals are mostly dark: what is to be light is drawn.
        let picture = picture
            .dark_color(Dense1x2::Light)
            .light_color(Dense1x2::Dark);
        Some(picture.build())
    }

    /// The same as a drawing; black on white also in the dark, as cameras want it.
    pub(super) fn drawing(&self) -> String {
        // No address is as long as a code can hold.
        let Ok(code) = QrCode::new(&self.address) else {
            return String::new();
        };
        let width = code.width();
        let modules = code.to_colors().into_iter().enumerate();
        let dark = modules.filter(|(_, color)| *color == Color::Dark);
        let path =
            dark.map(|(at, _)| format!("M{} {}h1v1h-1z", at % width + QUIET, at / width + QUIET));
        let size = width + 2 * QUIET;
        format!(
            "<svg class=\"code\" viewBox=\"0 0 {size} {size}\" role=\"img\" aria-label=\"the address as a code\" shape-rendering=\"crispEdges\">\
             <rect width=\"{size}\" height=\"{size}\" fill=\"#fff\"/><path fill=\"#000\" d=\"{}\"/></svg>",
            path.collect::<String>()
        )
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_code_has_its_corners_and_a_white_edge() {
        let share = Share {
            address: "http://192.168.1.20:40000/?key=0123".to_owned(),
        };
        let drawing = share.drawing();
        // The upper left finder begins behind the quiet zone: its first row is seven dark modules.
        let (_, path) = drawing.split_once("d=\"").expect("has a path");
        let row: String = (4..11).map(|x| format!("M{x} 4h1v1h-1z")).collect();
        assert!(path.starts_with(&row), "{path}");
        assert!(!path.contains("M11 4h"));
        let lines = share.terminal_code().expect("is short");
        assert!(lines.lines().count() > 12);
    }
}
