//! What finished frames weigh, from the sizes of their parts.
//!
//! A rail is its face by its thickness between the means of its long and short points, less its rabbet:
//! with `LP`, `SP` and `R` the long point, the short point and the rabbet of each side, `F` the face, `T` the thickness,
//! `L` the lip and `D` the depth of the rabbet,
//!
//! `V = sum (F T (LP + SP) - L D (SP + R)) / 2`.
//!
//! Nothing is taken off for a profile, nor for a rabbet whose depth is not given, and mats count without their windows,
//! so a frame is rather lighter than this. Boards of one species differ by a tenth: published, Forest Products Laboratory
//! Technical Note 218 (1931). The artwork and hardware, a dust cover off a roll among it, are never in it; one that is cut
//! from a sheet is.
//!
//! What a sheet is made of is told from its name; what no name tells is said to be unknown, and no weight is made up.
//!
//! # Source
//! Wood at 12 % moisture: 1,120 kg/m³ times its specific gravity, formula published in the USDA *Wood Handbook*
//! (FPL-GTR-190), ch. 4, as restated; specific gravities of ch. 5, those of yellow-poplar, cherry, walnut, sugar maple and
//! white oak as restated, the others from memory. European woods, which the German and French names mean as well: DIN 68364, from
//! memory.
//! Glass: EN 572-1, from memory. Acrylic and polycarbonate: from memory.
//! MDF and hardboard: the upper end of what is usual for them; hardboard EN 316, as restated. Plywood, mat board (1.0 kg/m²
//! at 1/16 in), foam board (0.6 kg/m² at 5 mm) and paper (80 g/m² at 0.1 mm): from memory. Corrugated board (0.9 kg/m² at
//! 3 mm), and the woods of the tropics: the upper end of what is usual for them, from memory.

use std::ops::Range;

use crate::frame::{
    Frame, FrameSizes, Holding, Moulding, Outline, SpacerStock, across_flats, spacer_strips,
};
use crate::job::Weight;
use crate::length::Length;
use crate::tally::SizedFrame;

/// What of a frame's weight is not known.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Unweighed {
    /// The moulding: its wood or its thickness is not given, or not known here.
    Wood,
    /// The glazing.
    Glazing,
    /// The backing.
    Backing,
    /// The spacer.
    Spacer,
}

/// What a finished frame weighs without its artwork.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct FrameWeight {
    /// All of it that is known.
    pub known: Weight,
    /// What is not in it but should be, in the order of [`Unweighed`].
    pub without: Vec<Unweighed>,
    /// Whether the frame is a tray: what stands in it is a canvas or a panel, which may weigh more than the frame.
    pub is_of_tray: bool,
}

impl FrameWeight {
    /// Whether what hangs may weigh much more than is known: something is missing, or a canvas or panel stands in a tray.
    pub fn is_known_in_part(&self) -> bool {
        self.is_of_tray || !self.without.is_empty()
    }
}

/// What would have to be told for all of a frame's weight to be known.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Untold<'a> {
    /// The wood of a moulding of this name.
    Wood(&'a str),
    /// What wood this name means, of a moulding's.
    WhichWood(&'a str),
    /// The thickness of a moulding of this name.
    Thickness(&'a str),
    /// What glazing of this name is made of.
    Glazing(&'a str),
    /// What a backing of this name is made of.
    Backing(&'a str),
    /// What the art in the tray of this frame weighs, a canvas or a panel.
    TrayArt(&'a str),
}

/// What of a frame is not known that may weigh more than all that is: a pane, a back; of its wood, and that of the frames inside
/// of it, each thing that is not told. What stands in a tray is a canvas or a panel, which may weigh more than the frame;
/// behind glazing it is paper, and weighs little beside that.
pub fn untold<'a>(sheet: &SizedFrame<'a>) -> Vec<Untold<'a>> {
    let mut untold = Vec::new();
    for moulding in [sheet.moulding].iter().chain(&sheet.inner) {
        match &moulding.material {
            None => untold.push(Untold::Wood(&moulding.name)),
            Some(wood) if wood_density(wood).is_none() => untold.push(Untold::WhichWood(wood)),
            Some(_) => {}
        }
        if moulding.thickness.is_none() {
            untold.push(Untold::Thickness(&moulding.name));
        }
    }
    let unknown = |given: Option<&'a crate::frame::Sheet>| {
        given.filter(|given| SheetKind::of(&given.name).is_none())
    };
    let glazing = unknown(sheet.frame.glazing.as_ref());
    untold.extend(glazing.map(|pane| Untold::Glazing(&pane.name)));
    let backing = unknown(sheet.frame.backing.as_ref());
    untold.extend(backing.map(|back| Untold::Backing(&back.name)));
    if sheet.frame.holding != Holding::Rabbet {
        untold.push(Untold::TrayArt(&sheet.frame.name));
    }
    untold
}

/// What a sheet is made of, as far as its name tells.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum SheetKind {
    /// Sheet glass, also coated or laminated.
    Glass,
    /// Acrylic, also under its trade names.
    Acrylic,
    /// Polycarbonate.
    Polycarbonate,
    /// Foam board.
    FoamBoard,
    /// Rigid foam of PVC.
    RigidFoam,
    /// Mat board, and other solid cardboard.
    MatBoard,
    /// Corrugated board, of paper.
    Corrugated,
    /// Medium-density fiberboard.
    Mdf,
    /// Hardboard, and high-density fiberboard.
    Hardboard,
    /// Plywood.
    Plywood,
    /// Paper, for dust covers.
    Paper,
}

/// Beginnings of words in names of sheets, in English, German and French, [`folded`]. One that ends in a space is a whole word, or
/// the end of one. Of a name in which several stand, the heaviest counts; but one within another, as acrylic is also sold as a
/// kind of glass, does not count.
const SHEETS: [(&str, SheetKind); 48] = [
    ("acrylglas", SheetKind::Acrylic),
    ("acryl glas", SheetKind::Acrylic),
    ("acrylic glass", SheetKind::Acrylic),
    ("verre acrylique", SheetKind::Acrylic),
    ("plexiglas ", SheetKind::Acrylic),
    ("plexiglass", SheetKind::Acrylic),
    // Rigid foam of PVC, much heavier than foam board.
    ("pvc", SheetKind::RigidFoam),
    ("hartschaum", SheetKind::RigidFoam),
    ("mousse pvc", SheetKind::RigidFoam),
    ("polycarbonat", SheetKind::Polycarbonate),
    ("acryl", SheetKind::Acrylic),
    ("plexi", SheetKind::Acrylic),
    ("perspex", SheetKind::Acrylic),
    ("pmma", SheetKind::Acrylic),
    ("kunstglas", SheetKind::Acrylic),
    ("foam", SheetKind::FoamBoard),
    ("schaum", SheetKind::FoamBoard),
    ("carton mousse", SheetKind::FoamBoard),
    // Also called cardboard.
    ("corrugated cardboard", SheetKind::Corrugated),
    ("corrugated", SheetKind::Corrugated),
    ("wellpappe", SheetKind::Corrugated),
    ("carton ondule", SheetKind::Corrugated),
    ("cardboard", SheetKind::MatBoard),
    ("mat board", SheetKind::MatBoard),
    ("matboard", SheetKind::MatBoard),
    ("mount board", SheetKind::MatBoard),
    ("museum board", SheetKind::MatBoard),
    ("passepartout", SheetKind::MatBoard),
    ("passe partout", SheetKind::MatBoard),
    ("museumskarton", SheetKind::MatBoard),
    ("graupappe", SheetKind::MatBoard),
    ("rueckwandkarton", SheetKind::MatBoard),
    // Of mat board the plies are told, of plywood seldom.
    (" 2 ply ", SheetKind::MatBoard),
    (" 4 ply ", SheetKind::MatBoard),
    (" 8 ply ", SheetKind::MatBoard),
    ("mdf", SheetKind::Mdf),
    ("hdf", SheetKind::Hardboard),
    ("hardboard", SheetKind::Hardboard),
    ("masonite", SheetKind::Hardboard),
    ("hartfaser", SheetKind::Hardboard),
    ("plywood", SheetKind::Plywood),
    (" ply ", SheetKind::Plywood),
    ("sperrholz", SheetKind::Plywood),
    ("contreplaque", SheetKind::Plywood),
    // A paper, whose name has the word for glass in it.
    ("glassine", SheetKind::Paper),
    ("glass", SheetKind::Glass),
    // Also the end of a word: picture glass, museum glass and so on are one word in German.
    ("glas ", SheetKind::Glass),
    (" verre ", SheetKind::Glass),
];

impl SheetKind {
    /// What a sheet of this name is made of; `None` where the name does not tell.
    pub fn of(name: &str) -> Option<SheetKind> {
        let name = folded(name);
        let words = SHEETS
            .iter()
            .flat_map(|&(word, kind)| places(&name, word, kind));
        outermost(words.collect()).max_by_key(|kind| kind.density())
    }

    /// Kilograms per cubic meter.
    pub fn density(self) -> i128 {
        match self {
            SheetKind::Glass => 2_500,
            SheetKind::Acrylic => 1_190,
            SheetKind::Polycarbonate => 1_200,
            SheetKind::FoamBoard => 120,
            // 1.0 kg/m² over 1.5875 mm.
            SheetKind::MatBoard => 630,
            // 0.9 kg/m² over 3 mm.
            SheetKind::Corrugated => 300,
            // Paper: 80 g/m² over 0.1 mm.
            SheetKind::Mdf | SheetKind::Paper => 800,
            SheetKind::Hardboard => 1_000,
            // Rigid foam: the upper end of what is usual.
            SheetKind::Plywood | SheetKind::RigidFoam => 700,
        }
    }
}

/// Words in names of woods and kilograms per cubic meter, in English, German and French, [`folded`].
/// Of a name in which several stand, such as one of a wood and its stain, the heaviest counts, but none within another.
/// Where a word means several species of the list, or one of America and one of Europe, the heaviest stands for it. One that ends
/// in a dash is the beginning of a word, as German joins words into one: `Eiche`, `Eichenholz`; one that begins with a dash is the
/// end of one, where no other word ends so: many end as `Eiche` does, such as `weiche`, so of oak, ash and beech each is told.
const WOODS: [(&str, i128); 117] = [
    // As a core below a veneer.
    ("mdf", 800),
    ("hdf", 1_000),
    // Much heavier than what they are called after.
    ("brazilian cherry", 1_050),
    ("brazilian walnut", 1_050),
    ("brazilian tulipwood", 1_050),
    ("live oak", 950),
    ("chene vert", 950),
    ("douglas-", 530),
    ("eastern white pine", 392),
    ("white pine", 392),
    ("weymouthskiefer", 392),
    ("pin weymouth", 392),
    ("scots pine", 520),
    ("kiefer-", 520),
    ("pin sylvestre", 520),
    ("basswood", 414),
    ("linden", 530),
    ("linde-", 530),
    // Heavier than beech, whose name it has.
    ("hainbuche-", 830),
    ("weissbuche-", 830),
    ("winterlinde", 530),
    ("sommerlinde", 530),
    ("tilleul", 530),
    ("spruce", 460),
    ("fichte-", 460),
    ("epicea", 460),
    ("silver fir", 460),
    ("weisstanne", 460),
    ("tanne", 460),
    ("tannenholz", 460),
    ("yellow poplar", 470),
    ("tulipwood", 470),
    ("poplar", 470),
    ("tulpenbaum", 470),
    ("pappel-", 470),
    ("tulipier", 470),
    ("peuplier", 470),
    ("alder", 550),
    ("erle", 550),
    ("erlenholz", 550),
    ("schwarzerle", 550),
    ("aulne", 550),
    ("larch", 600),
    ("laerche-", 600),
    ("meleze", 600),
    ("cherry", 560),
    ("kirsch-", 600),
    ("-kirsche", 600),
    ("cherrywood", 560),
    ("merisier", 600),
    ("cerisier", 600),
    ("red maple", 605),
    ("soft maple", 605),
    ("maple", 706),
    ("ahorn-", 706),
    ("-ahorn", 706),
    ("maplewood", 706),
    ("erable", 706),
    ("walnut", 616),
    ("nussbaum-", 670),
    ("nuss", 670),
    ("schwarznuss", 616),
    ("-nussbaum", 670),
    ("noyer", 670),
    ("white ash", 672),
    ("ash", 672),
    ("ashwood", 672),
    ("esche-", 700),
    ("kernesche-", 700),
    ("bergesche-", 700),
    ("weissesche-", 700),
    ("olivesche-", 700),
    ("frene", 700),
    ("yellow birch", 694),
    ("birch", 694),
    ("birchwood", 694),
    ("birke-", 694),
    ("-birke", 694),
    ("bouleau", 694),
    ("red oak", 706),
    ("roteiche", 706),
    ("chene rouge", 706),
    ("white oak", 762),
    ("oak", 762),
    ("oakwood", 762),
    ("eiche-", 762),
    ("raeuchereiche-", 762),
    ("mooreiche-", 762),
    ("wildeiche-", 762),
    ("asteiche-", 762),
    ("alteiche-", 762),
    ("steineiche-", 950),
    ("stieleiche-", 762),
    ("traubeneiche-", 762),
    ("weisseiche-", 762),
    ("sumpfeiche-", 762),
    ("chene", 762),
    ("beech", 717),
    ("beechwood", 717),
    ("buche-", 717),
    ("rotbuche-", 717),
    ("kernbuche-", 717),
    ("hetre", 717),
    ("sapele", 690),
    ("sapeli-", 690),
    ("sapelli-", 690),
    ("mahogany", 640),
    ("mahagoni-", 640),
    ("acajou", 640),
    ("obeche", 400),
    ("ayous", 400),
    ("abachi-", 400),
    ("ramin", 670),
    ("raminholz", 670),
    ("teak", 690),
    ("teakwood", 690),
    ("teakholz", 690),
];

/// Kilograms per cubic meter of a wood by its name; `None` where the name does not tell.
fn wood_density(material: &str) -> Option<i128> {
    let name = folded(material);
    let spelled = |wood: &str| match (wood.strip_suffix('-'), wood.strip_prefix('-')) {
        (Some(stem), _) => format!(" {stem}"),
        (None, Some(stem)) => format!("{stem} "),
        (None, None) => format!(" {wood} "),
    };
    let words = WOODS.iter();
    let words = words.flat_map(|&(wood, density)| places(&name, &spelled(wood), density));
    outermost(words.collect()).max()
}

/// Where a word stands in a name, its blanks left out, each time with what it means.
fn places<T: Copy>(name: &str, word: &str, meaning: T) -> Vec<(Range<usize>, T)> {
    let lead = word.len() - word.trim_start().len();
    let found = name.match_indices(word);
    let found = found.map(|(at, _)| (at + lead..at + lead + word.trim().len(), meaning));
    found.collect()
}

/// What those words mean that stand within no longer one.
fn outermost<T: Copy>(words: Vec<(Range<usize>, T)>) -> impl Iterator<Item = T> {
    let is_within = |inner: &Range<usize>, outer: &Range<usize>| {
        outer.start <= inner.start && inner.end <= outer.end && outer.len() > inner.len()
    };
    let outer: Vec<Range<usize>> = words.iter().map(|word| word.0.clone()).collect();
    let whole = words.into_iter().filter(move |(place, _)| {
        let mut others = outer.iter();
        !others.any(|other| is_within(place, other))
    });
    whole.map(|(_, meaning)| meaning)
}

/// A name in small letters without accents, as German and French have them, also where they stand as marks of their own behind
/// the letter; its words between single spaces, with one more at each end.
fn folded(name: &str) -> String {
    let mut folded = String::from(" ");
    for letter in name.to_lowercase().chars() {
        match letter {
            'ä' => folded.push_str("ae"),
            'ö' | 'œ' => folded.push_str("oe"),
            'ü' => folded.push_str("ue"),
            'ß' => folded.push_str("ss"),
            'à' | 'â' => folded.push('a'),
            'ç' => folded.push('c'),
            'é' | 'è' | 'ê' | 'ë' => folded.push('e'),
            'î' | 'ï' => folded.push('i'),
            'ô' => folded.push('o'),
            'û' | 'ù' => folded.push('u'),
            // Two dots over a letter that has them in German.
            '\u{308}' if folded.ends_with(['a', 'o', 'u']) => folded.push('e'),
            '\u{300}'..='\u{36F}' => {}
            letter if letter.is_alphanumeric() => folded.push(letter),
            _ if folded.ends_with(' ') => {}
            _ => folded.push(' '),
        }
    }
    if !folded.ends_with(' ') {
        folded.push(' ');
    }
    folded
}

/// What a frame weighs, from its sizes, with the frames inside of it; all but the artwork.
pub fn frame_weight(sheet: &SizedFrame<'_>) -> FrameWeight {
    let frame = sheet.frame;
    let mut weight = FrameWeight {
        is_of_tray: frame.holding != Holding::Rabbet,
        ..FrameWeight::default()
    };
    let mut add = |part: Option<Weight>, unknown: Unweighed| match part {
        Some(part) => weight.known = weight.known.and(part),
        None => weight.without.push(unknown),
    };
    let inner = sheet.inner.iter().zip(&sheet.package.inner);
    let rails = [wood(sheet.moulding, &sheet.sizes)].into_iter();
    let rails = rails.chain(inner.map(|(moulding, sizes)| wood(moulding, sizes)));
    // What is known of the wood counts, as of all else, and what is not is told once.
    let rails: Vec<Option<Weight>> = rails.collect();
    if rails.contains(&None) {
        add(None, Unweighed::Wood);
    }
    for rails in rails.into_iter().flatten() {
        add(Some(rails), Unweighed::Wood);
    }
    let named = |given: Option<&crate::frame::Sheet>| {
        given.map(|given| {
            let kind = SheetKind::of(&given.name)?;
            Some(of_sheet(sheet.package.size, given.thickness, kind))
        })
    };
    if let Some(glazing) = named(frame.glazing.as_ref()) {
        add(glazing, Unweighed::Glazing);
    }
    if let Some(backing) = named(frame.backing.as_ref()) {
        add(backing, Unweighed::Backing);
    }
    if frame.spacer.is_some() {
        add(spacer(sheet), Unweighed::Spacer);
    }
    weight.known = weight.known.and(mats(frame, sheet));
    weight.known = weight.known.and(dust_cover(sheet));
    weight
}

/// The mat boards of a frame and of those inside of it, windows and all; none in a tray.
fn mats(frame: &Frame, sheet: &SizedFrame<'_>) -> Weight {
    let Some(mat) = frame
        .mat
        .as_ref()
        .filter(|_| frame.holding == Holding::Rabbet)
    else {
        return Weight::ZERO;
    };
    let size = sheet.package.content;
    let layers = (1..=mat.layers).map(|layer| mat.board(layer).1);
    layers.fold(Weight::ZERO, |all, thickness| {
        all.and(of_sheet(size, thickness, SheetKind::MatBoard))
    })
}

/// The dust cover as it is once it is trimmed, where it is cut from a sheet: of paper, unless its name tells otherwise.
fn dust_cover(sheet: &SizedFrame<'_>) -> Weight {
    let Some((paper, size)) = sheet.dust_cover else {
        return Weight::ZERO;
    };
    let kind = SheetKind::of(&paper.name).unwrap_or(SheetKind::Paper);
    of_sheet(size, paper.thickness, kind)
}

/// The strips of a spacer, each as a block; `None` where their wood is not known.
fn spacer(sheet: &SizedFrame<'_>) -> Option<Weight> {
    let spacer = sheet.frame.spacer.as_ref()?;
    let SpacerStock::Boards { material, .. } = &spacer.stock else {
        return None;
    };
    let density = wood_density(material.as_deref()?)?;
    let strips = spacer_strips(sheet.frame, &sheet.package).into_iter();
    let length: Length = strips.map(|of| of.length * i64::from(of.count)).sum();
    let section = times(wide(spacer.width), wide(spacer.depth));
    Some(Weight::of_halves(times(section, 2 * wide(length)), density))
}

/// A whole sheet of a size.
pub(super) fn of_sheet(size: Outline, thickness: Length, kind: SheetKind) -> Weight {
    Weight::of_halves(times(twice_face(size), wide(thickness)), kind.density())
}

/// Twice the face of an outline in square nanometers; of a polygon rounded up.
pub(super) fn twice_face(size: Outline) -> i128 {
    match size {
        Outline::Rectangle { width, height } => times(2 * wide(width), wide(height)),
        // As many triangles as sides, each half as high as the polygon is across.
        Outline::Regular { sides, side, flats } => {
            let around = wide(side) * i128::from(sides);
            times(around, wide(across_flats(sides, side, flats))) / 2 + 1
        }
    }
}

/// The rails of a frame; `None` where their wood or thickness is not known.
fn wood(moulding: &Moulding, sizes: &FrameSizes) -> Option<Weight> {
    let density = wood_density(moulding.material.as_deref()?)?;
    let thickness = moulding.thickness?;
    let half_nm3 = (0..sizes.n_sides())
        .map(|side| {
            let (long, short) = (sizes.outside.side(side), sizes.sight.side(side));
            let section = times(wide(moulding.face_width), wide(thickness));
            let solid = times(section, wide(long + short));
            let rabbet = sizes.rabbet.zip(moulding.rabbet_depth);
            let rabbet = rabbet.map_or(0, |(rabbet, depth)| {
                let step = times(wide(moulding.lip), wide(depth));
                times(step, wide(short + rabbet.side(side)))
            });
            solid.saturating_sub(rabbet)
        })
        .fold(0_i128, i128::saturating_add);
    Some(Weight::of_halves(half_nm3, density))
}

/// A product of measures; what is far beyond any frame stays the greatest number there is.
fn times(one: i128, other: i128) -> i128 {
    one.saturating_mul(other)
}

fn wide(length: Length) -> i128 {
    i128::from(length.nm())
}

#[cfg(test)]
mod tests;
