//! Other words in which people head their lists, in English, German and French.
//!
//! A word that stands with one column of a table means that one; a word that stands with several is asked back.
//! Words are in kebab case, as [`super::kebab`] makes them. Common practice, no source.

/// Words for columns of all tables in which wood stands.
const WOOD: [(&str, &[&str]); 8] = [
    ("length", &["len", "l", "lg", "länge", "longueur", "size"]),
    ("quantity", &["qty", "qnty", "how-many", "count", "pcs", "pieces", "stock", "in-stock", "on-hand", "no", "number", "anzahl", "menge", "stück", "stk", "quantité", "nombre"]),
    ("price", &["price-each", "each", "unit-price", "cost", "cost-each", "unit-cost", "preis", "einzelpreis", "stückpreis", "prix", "prix-unitaire"]),
    ("material", &["wood", "species", "timber", "holz", "holzart", "bois", "essence"]),
    ("thickness", &["thick", "t", "thk", "stärke", "dicke", "épaisseur"]),
    ("width", &["w", "wide", "breite", "largeur"]),
    ("nominal", &["size", "nominal-size"]),
    ("defects", &["defect", "knots", "flaws", "fehler", "äste", "défauts"]),
];

/// Words for columns of the table of frames.
const FRAMES: [(&str, &[&str]); 20] = [
    ("frame", &["title", "picture", "artwork", "item", "titel", "bild", "titre", "tableau", "nom", "no", "number"]),
    ("quantity", &["qnty", "how-many", "count", "pcs", "pieces", "copies", "no-of-copies", "number-of-copies", "no", "number", "anzahl", "menge", "stück", "stk", "quantité", "nombre"]),
    ("moulding", &["molding", "profile", "leiste", "profil", "moulure", "baguette"]),
    ("wood", &["species", "timber", "holz", "holzart", "bois", "essence"]),
    ("art-width", &["width", "w", "picture-width", "artwork-width", "image-width", "breite", "bildbreite", "largeur"]),
    ("art-height", &["height", "h", "ht", "picture-height", "artwork-height", "image-height", "höhe", "bildhöhe", "hauteur"]),
    ("art-thickness", &["depth", "art-depth", "thickness", "bildstärke", "épaisseur"]),
    ("box-depth", &["depth"]),
    ("mat-border", &["border", "mat-width", "mat-size", "rand", "marge"]),
    ("mat-top", &["top", "top-border"]),
    ("mat-right", &["right", "right-border"]),
    ("mat-bottom", &["bottom", "bottom-border"]),
    ("mat-left", &["left", "left-border"]),
    ("package-width", &["mat-width", "mat-size"]),
    ("package-height", &["mat-height", "mat-size"]),
    ("mat", &["mat-board", "mat-color", "mat-colour", "passepartout"]),
    ("glazing", &["glass", "glas", "verglasung", "verre", "vitrage"]),
    ("backing", &["back", "backing-board", "rückwand", "dos", "fond"]),
    ("mat-layers", &["mats", "layers"]),
    ("sides", &["number-of-sides", "corners"]),
];

/// Words for columns of tables in which sheets stand.
const SHEETS: [(&str, &[&str]); 3] = [
    ("height", &["h", "ht", "höhe", "hauteur"]),
    ("sheet", &["material", "glass", "board"]),
    ("label", &["mark"]),
];

/// Words for what names a row of another table than that of frames.
const NAMES: [(&str, &[&str]); 2] = [
    ("board", &["item", "item-no", "stock-no", "article-no", "article", "artikel", "description", "no", "number", "brett", "planche", "stock"]),
    ("piece", &["item", "part", "teil", "pièce", "description", "no", "number"]),
];

/// Words for columns of lists of sizes and prices, for which the column `mat` says whether there is one.
const SIZES: [(&str, &[&str]); 6] = [
    ("frame", &["title", "picture", "artwork", "titel", "bild", "titre", "tableau"]),
    ("width", &["art-width", "w", "wide", "picture-width", "artwork-width", "image-width", "breite", "bildbreite", "largeur"]),
    ("height", &["art-height", "h", "ht", "picture-height", "artwork-height", "image-height", "höhe", "bildhöhe", "hauteur"]),
    ("moulding", &["molding", "profile", "leiste", "profil", "moulure", "baguette"]),
    ("mat", &["passepartout"]),
    ("price", &["price-each", "unit-price", "preis", "einzelpreis", "stückpreis", "prix", "prix-unitaire"]),
];

/// The names of the columns that a word may mean in a table; not all tables of wood have all of them.
pub(super) fn columns_of(table: &str, word: &str) -> Vec<&'static str> {
    let lists: [&[(&'static str, &[&str])]; 2] = match table {
        "frames" => [&FRAMES, &[]],
        "boards" | "tally" | "rack" | "bought" | "pieces" => [&WOOD, &NAMES],
        "sheet-stock" | "sheet-rack" => [&WOOD, &SHEETS],
        "size list" | "price list" => [&SIZES, &[]],
        _ => [&[], &[]],
    };
    let all = lists.into_iter().flatten();
    let meant = all.filter(|(_, words)| words.contains(&word));
    meant.map(|(name, _)| *name).collect()
}
