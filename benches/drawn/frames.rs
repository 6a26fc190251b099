//! A job of as many frames as are asked for, drawn by a fixed rule.

use std::fmt::Write as _;

use crate::lehmer::Lehmer;
use crate::texts::Texts;

/// So many frames of three mouldings, one to four copies to a line, most of them with a mat.
pub(crate) fn drawn_frames(n_frames: u64, seed: u64) -> Texts {
    let mut draw = Lehmer::new(seed);
    let mut job =
        String::from("frames = \"frames.csv\"\n[saw]\nkerf = \"1/8\"\nend-trim = \"1/2\"\n");
    for (wood, cents) in [("oak", 290), ("maple", 250), ("ash", 190)] {
        writeln!(
            job,
            "[[mouldings]]\nname = \"{wood} flat\"\nface-width = \"1 1/2\"\nlip = \"1/4\"\nrabbet-depth = \"5/8\"\n\
             material = \"{wood}\""
        )
        .unwrap();
        for feet in [6, 8, 10] {
            let cents = cents * feet;
            writeln!(
                job,
                "[[boards]]\nboard = \"{wood} {feet} ft\"\nmaterial = \"{wood}\"\nlength = \"{feet}'\"\nprice = {}.{:02}",
                cents / 100,
                cents % 100
            )
            .unwrap();
        }
    }
    let mut list = String::from("frame,quantity,moulding,art-width,art-height,mat-border\n");
    let (mut number, mut left) = (0, n_frames);
    while left > 0 {
        number += 1;
        let copies = draw.between(1, 4).min(left);
        left -= copies;
        let wood = ["oak", "maple", "ash"][usize::try_from(draw.between(0, 2)).unwrap()];
        // Halves of an inch, 6 to 24 in.
        let (width, height) = (draw.between(12, 48), draw.between(12, 48));
        let mat = ["", "2", "2 1/2"][usize::try_from(draw.between(0, 2)).unwrap()];
        writeln!(
            list,
            "picture {number},{copies},{wood} flat,{}.{},{}.{},{mat}",
            width / 2,
            width % 2 * 5,
            height / 2,
            height % 2 * 5
        )
        .unwrap();
    }
    Texts::from([("job.toml", job), ("frames.csv", list)])
}
