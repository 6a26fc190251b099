//! What wood and sheets weigh by their names, in English, German and French.
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
pub(super) fn wood_density(material: &str) -> Option<i128> {
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
pub(super) fn folded(name: &str) -> String {
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
