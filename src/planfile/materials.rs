//! What is cut from sheets, as it is written and read, with what proves its bounds.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use super::read::{Names, Unknown};
use crate::frame::SheetUse;
use crate::job::{Job, MaterialKey, Serves};
use crate::length::Length;
use crate::money::Money;
use crate::plan::Verdict;
use crate::plan::sheets::{
    MaterialPlan, PlannedSheet, SheetCut, SheetPiece, SheetSource, SheetStack, SheetStrip,
};
use crate::sheets::certificate::{self as proof, Count};
use crate::sheets::job::{Along, Bed};

/// All that is cut of one material that comes in sheets.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
#[expect(
    clippy::struct_excessive_bools,
    reason = "each says something of its own in the file"
)]
pub struct Material {
    /// What it is for.
    #[serde(rename = "use")]
    pub serves: MaterialUse,
    /// Its name; null for mat board that frames do not name.
    pub name: Option<String>,
    /// What the sheets cost, or are worth on the rack, in minor units; where nothing of it that is sold has a price, their
    /// faces in whole square millimeters, of each rounded up, and those on the rack nothing.
    pub value: i64,
    /// Proved: no plan in two stages of cuts with as few pieces missing has a smaller value; that of a plan in three may be
    /// smaller.
    pub lower_bound: i64,
    /// Proved: no plan in two stages of cuts leaves fewer pieces missing.
    pub missing_lower_bound: u64,
    /// Of a plan in two stages whether both bounds are met; of one in three whether `any_cuts` is true, or the certificate's
    /// bound in three stages is met.
    pub proved_optimal: bool,
    /// Whether the search was stopped before it had ended by itself; not verified.
    pub stopped: bool,
    /// Whether what drops out of windows was there to be cut.
    pub fallout: bool,
    /// Whether no plan has a smaller value in however many stages of cuts, as sheets that count less have too little face.
    pub any_cuts: bool,
    /// The sheets, in an order in which they can be cut.
    pub sheets: Vec<SheetOfMaterial>,
    /// Pieces for which there is no sheet.
    pub missing: Vec<PieceOfSheet>,
    /// What proves the bounds.
    pub certificate: SheetCertificate,
}

/// What a material is for.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum MaterialUse {
    /// Round the art.
    Mat,
    /// In front of it.
    Glazing,
    /// Behind it.
    Backing,
    /// Over the back of the frame.
    DustCover,
}

/// One mat, pane, backing or dust cover.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct PieceOfSheet {
    /// Its frame.
    pub frame: String,
    /// Which of the alike frames, from 1.
    pub copy: u32,
    /// What it is in the frame.
    #[serde(rename = "use")]
    pub serves: MaterialUse,
    /// Of a mat which layer, from 1, the outermost.
    pub mat_layer: Option<u32>,
}

/// A sheet that is cut.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct SheetOfMaterial {
    /// Which of the material's sheets, as they stand in the job, from 0; null where it drops out of a window.
    pub stock: Option<usize>,
    /// The mat out of whose window it drops; null for all others.
    pub window_of: Option<PieceOfSheet>,
    /// What is written on it, on the rack; null for all others.
    pub label: Option<String>,
    /// Its width.
    pub width_nm: i64,
    /// Its height.
    pub height_nm: i64,
    /// What it costs, or is worth on the rack; null where nothing was said.
    pub price_minor: Option<i64>,
    /// Whether its strips run along its width; else along its height.
    pub strips_along_width: bool,
    /// Its strips, in the order of the first cuts.
    pub strips: Vec<StripOfSheet>,
}

/// A strip of a sheet.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct StripOfSheet {
    /// Where it begins across the strips: from the lower edge, or where they run along the height from the left one.
    pub from_nm: i64,
    /// Its width.
    pub width_nm: i64,
    /// Its stacks, one after another.
    pub stacks: Vec<StackOfSheet>,
}

/// What second cuts part from a strip: one piece, or several one above another, which third cuts part.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct StackOfSheet {
    /// Where it begins along the strip, from the left edge of the sheet, or the lower one.
    pub from_nm: i64,
    /// Its length along the strip.
    pub length_nm: i64,
    /// Its pieces, one above another.
    pub cuts: Vec<CutOfSheet>,
}

/// A piece at its place.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct CutOfSheet {
    /// What it is.
    pub piece: PieceOfSheet,
    /// Where it begins across the strip, from the lower edge of the sheet, or the left one.
    pub from_nm: i64,
    /// Where it ends.
    pub to_nm: i64,
    /// Its size along the strip.
    pub along_nm: i64,
    /// Whether it is turned by a right angle from how it is in its frame.
    pub turned: bool,
}

/// What proves the bounds of a material.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct SheetCertificate {
    /// No plan leaves fewer pieces missing.
    pub missing: u64,
    /// The nodes of the proof of that; none where only pieces are missing that fit no sheet.
    pub missing_proof: Vec<SheetNode>,
    /// No plan that leaves `missing` pieces missing has a smaller value.
    pub cost: i64,
    /// The nodes of the proof of that; none where `cost` is 0.
    pub proof: Vec<SheetNode>,
    /// What bounds plans in three stages of cuts; left out where that was not looked at, or nothing is proved.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub in_three: Option<InThree>,
}

/// What bounds plans in three stages of cuts, if nothing is missing that fits a sheet.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct InThree {
    /// No plan in three stages has a smaller value; 1 or more.
    pub cost: i64,
    /// Prices, each of which rules out some sets of sheets that count less.
    pub prices: Vec<PricesInThree>,
}

/// Prices of the sizes, at which sheets are worth no more than something.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct PricesInThree {
    /// What the prices are over; 0 or more.
    pub scale: i64,
    /// One for each size that is wanted, by width and then by height; 0 or more.
    pub size_prices: Vec<i64>,
}

/// A node of a proof: prices, or two cases by a number that every plan has.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(untagged, deny_unknown_fields)]
pub enum SheetNode {
    /// Prices that prove the case.
    Prices {
        /// What they are over; 1 or more.
        scale: i64,
        /// One for each size that is wanted, by width and then by height; 0 or more.
        size_prices: Vec<i64>,
        /// One for each case on the way here, from the root: 0 or less below `under`, 0 or more below `over`.
        case_prices: Vec<i64>,
    },
    /// At most `at_most`, or more, of what is counted.
    Cases {
        /// What is counted: sheets, strips, pieces, or strips that hold certain pieces.
        count: Counted,
        /// The beds on which it counts: kinds of sheet with the way their strips run, rising.
        beds: Vec<SheetBed>,
        /// Strips count, and sheets by their widest one, if they are at least so wide.
        width_nm: i64,
        /// Of pieces, which sizes count, by their positions, rising; else none.
        sizes: Vec<usize>,
        /// Of strips that hold certain pieces, what they hold; else left out.
        #[serde(default, skip_serializing_if = "Vec::is_empty")]
        holds: Vec<StripHolds>,
        /// The most of the first case.
        at_most: u32,
        /// Position of the node of the first case, behind this one.
        under: usize,
        /// Position of the node of the second case.
        over: usize,
    },
}

/// What the cases of a node count.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum Counted {
    /// Sheets.
    Sheets,
    /// Strips.
    Strips,
    /// Pieces in strips.
    Pieces,
    /// Strips that hold certain pieces.
    Holding,
}

/// At least so many pieces on one strip.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct StripHolds {
    /// Of these sizes together, by their positions, rising.
    pub sizes: Vec<usize>,
    /// How many; 1 or more.
    pub at_least: u32,
}

/// Sheets of a kind whose strips run one way.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct SheetBed {
    /// The kind: sheets of the material as they stand in the job, then windows by width and height.
    pub kind: usize,
    /// Whether its strips run along its width.
    pub along_width: bool,
}

impl From<Serves> for MaterialUse {
    fn from(serves: Serves) -> MaterialUse {
        match serves {
            Serves::Mat => MaterialUse::Mat,
            Serves::Glazing => MaterialUse::Glazing,
            Serves::Backing => MaterialUse::Backing,
            Serves::DustCover => MaterialUse::DustCover,
        }
    }
}

impl From<MaterialUse> for Serves {
    fn from(serves: MaterialUse) -> Serves {
        match serves {
            MaterialUse::Mat => Serves::Mat,
            MaterialUse::Glazing => Serves::Glazing,
            MaterialUse::Backing => Serves::Backing,
            MaterialUse::DustCover => Serves::DustCover,
        }
    }
}

impl Material {
    pub(super) fn of(job: &Job, plan: &MaterialPlan) -> Material {
        let sheets = plan.sheets.iter();
        let missing = plan.missing.iter();
        Material {
            serves: plan.key.serves.into(),
            name: plan.key.name.clone(),
            value: plan.value,
            lower_bound: plan.lower_bound,
            missing_lower_bound: plan.missing_lower_bound,
            proved_optimal: plan.verdict == Verdict::Optimal,
            stopped: plan.verdict == Verdict::Stopped,
            fallout: plan.has_fallout,
            any_cuts: plan.any_cuts,
            sheets: sheets
                .map(|sheet| SheetOfMaterial::of(job, plan, sheet))
                .collect(),
            missing: missing.map(|&piece| PieceOfSheet::of(job, piece)).collect(),
            certificate: SheetCertificate::of(&plan.certificate),
        }
    }

    /// The plan that is told of, in terms of `job`; nothing of it is believed.
    pub(super) fn raise(&self, job: &Job, names: &Names<'_>) -> Result<MaterialPlan, Unknown> {
        let key = MaterialKey {
            serves: self.serves.into(),
            name: self.name.clone(),
        };
        let Some(material) = job.stated_material(&key) else {
            let name = self.name.as_deref().unwrap_or("mat board");
            return Err(Unknown::new("sheet", name));
        };
        let n_stock = material.stock.len();
        let sheets = self.sheets.iter().map(|sheet| sheet.raise(n_stock, names));
        let missing = self.missing.iter().map(|piece| piece.raise(names));
        Ok(MaterialPlan {
            key,
            sheets: sheets.collect::<Result<_, _>>()?,
            missing: missing.collect::<Result<_, _>>()?,
            value: self.value,
            lower_bound: self.lower_bound,
            missing_lower_bound: self.missing_lower_bound,
            verdict: match (self.proved_optimal, self.stopped) {
                (true, _) => Verdict::Optimal,
                (false, true) => Verdict::Stopped,
                (false, false) => Verdict::WorkLimit,
            },
            has_fallout: self.fallout,
            any_cuts: self.any_cuts,
            certificate: self.certificate.raise(),
        })
    }
}

impl PieceOfSheet {
    fn of(job: &Job, piece: SheetPiece) -> PieceOfSheet {
        PieceOfSheet {
            frame: job.frames[piece.frame_idx].name.clone(),
            copy: piece.copy,
            serves: Serves::of(piece.sheet_use).into(),
            mat_layer: match piece.sheet_use {
                SheetUse::Mat { layer } => Some(layer),
                SheetUse::Glazing | SheetUse::Backing | SheetUse::DustCover => None,
            },
        }
    }

    fn raise(&self, names: &Names<'_>) -> Result<SheetPiece, Unknown> {
        Ok(SheetPiece {
            frame_idx: names.frame(&self.frame)?,
            copy: self.copy,
            sheet_use: match self.serves {
                MaterialUse::Mat => SheetUse::Mat {
                    layer: self.mat_layer.unwrap_or(0),
                },
                MaterialUse::Glazing => SheetUse::Glazing,
                MaterialUse::Backing => SheetUse::Backing,
                MaterialUse::DustCover => SheetUse::DustCover,
            },
        })
    }
}

impl SheetOfMaterial {
    fn of(job: &Job, plan: &MaterialPlan, sheet: &PlannedSheet) -> SheetOfMaterial {
        let material = job.material(&plan.key);
        let blank = sheet.blank(job, &material);
        let (stock, window_of) = match sheet.source {
            SheetSource::Stock(idx) => (Some(idx), None),
            SheetSource::Fallout(mat) => (None, Some(PieceOfSheet::of(job, mat))),
        };
        let strips = sheet.strips.iter();
        SheetOfMaterial {
            label: stock.and_then(|idx| material.stock[idx].label.clone()),
            stock,
            window_of,
            width_nm: blank.width.nm(),
            height_nm: blank.height.nm(),
            price_minor: blank.price.map(Money::minor),
            strips_along_width: sheet.along == Along::Width,
            strips: strips.map(|strip| StripOfSheet::of(job, strip)).collect(),
        }
    }

    fn raise(&self, n_stock: usize, names: &Names<'_>) -> Result<PlannedSheet, Unknown> {
        let source = match (self.stock, &self.window_of) {
            (Some(idx), _) if idx < n_stock => SheetSource::Stock(idx),
            (None, Some(mat)) => SheetSource::Fallout(mat.raise(names)?),
            (idx, _) => {
                let idx = idx.map_or("without a place".to_owned(), |idx| idx.to_string());
                return Err(Unknown::new("sheet", &idx));
            }
        };
        let strips = self.strips.iter().map(|strip| strip.raise(names));
        Ok(PlannedSheet {
            source,
            along: along(self.strips_along_width),
            strips: strips.collect::<Result<_, _>>()?,
        })
    }
}

fn along(width: bool) -> Along {
    if width { Along::Width } else { Along::Height }
}

impl StripOfSheet {
    fn of(job: &Job, strip: &SheetStrip) -> StripOfSheet {
        let stacks = strip.stacks.iter();
        StripOfSheet {
            from_nm: strip.from.nm(),
            width_nm: strip.width.nm(),
            stacks: stacks.map(|stack| StackOfSheet::of(job, stack)).collect(),
        }
    }

    fn raise(&self, names: &Names<'_>) -> Result<SheetStrip, Unknown> {
        let stacks = self.stacks.iter().map(|stack| stack.raise(names));
        Ok(SheetStrip {
            from: Length::from_nm(self.from_nm),
            width: Length::from_nm(self.width_nm),
            stacks: stacks.collect::<Result<_, _>>()?,
        })
    }
}

impl StackOfSheet {
    fn of(job: &Job, stack: &SheetStack) -> StackOfSheet {
        let cuts = stack.cuts.iter().map(|cut| CutOfSheet {
            piece: PieceOfSheet::of(job, cut.piece),
            from_nm: cut.from.nm(),
            to_nm: cut.to.nm(),
            along_nm: cut.along.nm(),
            turned: cut.turned,
        });
        StackOfSheet {
            from_nm: stack.from.nm(),
            length_nm: stack.length.nm(),
            cuts: cuts.collect(),
        }
    }

    fn raise(&self, names: &Names<'_>) -> Result<SheetStack, Unknown> {
        let cuts = self.cuts.iter().map(|cut| {
            Ok(SheetCut {
                piece: cut.piece.raise(names)?,
                from: Length::from_nm(cut.from_nm),
                to: Length::from_nm(cut.to_nm),
                along: Length::from_nm(cut.along_nm),
                turned: cut.turned,
            })
        });
        Ok(SheetStack {
            from: Length::from_nm(self.from_nm),
            length: Length::from_nm(self.length_nm),
            cuts: cuts.collect::<Result<_, _>>()?,
        })
    }
}

impl SheetCertificate {
    fn of(certificate: &proof::Certificate) -> SheetCertificate {
        let nodes = |nodes: &[proof::Node]| nodes.iter().map(SheetNode::of).collect();
        SheetCertificate {
            missing: certificate.missing,
            missing_proof: nodes(&certificate.missing_nodes),
            cost: certificate.cost,
            proof: nodes(&certificate.cost_nodes),
            in_three: certificate.in_three.as_ref().map(InThree::of),
        }
    }

    fn raise(&self) -> proof::Certificate {
        let nodes = |nodes: &[SheetNode]| nodes.iter().map(SheetNode::raise).collect();
        proof::Certificate {
            missing: self.missing,
            missing_nodes: nodes(&self.missing_proof),
            cost: self.cost,
            cost_nodes: nodes(&self.proof),
            in_three: self.in_three.as_ref().map(InThree::raise),
        }
    }
}

impl InThree {
    fn of(proof: &proof::InThree) -> InThree {
        let prices = proof.prices.iter().map(|own| PricesInThree {
            scale: own.denominator,
            size_prices: own.prices.clone(),
        });
        InThree {
            cost: proof.cost,
            prices: prices.collect(),
        }
    }

    fn raise(&self) -> proof::InThree {
        let prices = self.prices.iter().map(|own| proof::PricesInThree {
            denominator: own.scale,
            prices: own.size_prices.clone(),
        });
        proof::InThree {
            cost: self.cost,
            prices: prices.collect(),
        }
    }
}

impl SheetNode {
    fn of(node: &proof::Node) -> SheetNode {
        match node {
            proof::Node::Leaf {
                denominator,
                prices,
                conditions,
            } => SheetNode::Prices {
                scale: *denominator,
                size_prices: prices.clone(),
                case_prices: conditions.clone(),
            },
            proof::Node::Split {
                count,
                at_most,
                under,
                over,
            } => {
                let mut holds = Vec::new();
                let (counted, beds, width, sizes) = match count {
                    Count::Sheets { beds, width } => (Counted::Sheets, beds, width, Vec::new()),
                    Count::Strips { beds, width } => (Counted::Strips, beds, width, Vec::new()),
                    Count::Pieces { items, beds, width } => {
                        (Counted::Pieces, beds, width, items.clone())
                    }
                    Count::Holding { least, beds, width } => {
                        holds.extend(least.iter().map(|hold| StripHolds {
                            sizes: hold.items.clone(),
                            at_least: hold.at_least,
                        }));
                        (Counted::Holding, beds, width, Vec::new())
                    }
                };
                let beds = beds.iter().map(|bed| SheetBed {
                    kind: bed.kind,
                    along_width: bed.along == Along::Width,
                });
                SheetNode::Cases {
                    count: counted,
                    beds: beds.collect(),
                    width_nm: *width,
                    sizes,
                    holds,
                    at_most: *at_most,
                    under: *under,
                    over: *over,
                }
            }
        }
    }

    fn raise(&self) -> proof::Node {
        match self {
            SheetNode::Prices {
                scale,
                size_prices,
                case_prices,
            } => proof::Node::Leaf {
                denominator: *scale,
                prices: size_prices.clone(),
                conditions: case_prices.clone(),
            },
            SheetNode::Cases {
                count,
                beds,
                width_nm,
                sizes,
                holds,
                at_most,
                under,
                over,
            } => {
                let beds = beds.iter().map(|bed| Bed {
                    kind: bed.kind,
                    along: along(bed.along_width),
                });
                let (beds, width) = (beds.collect(), *width_nm);
                proof::Node::Split {
                    count: match count {
                        Counted::Sheets => Count::Sheets { beds, width },
                        Counted::Strips => Count::Strips { beds, width },
                        Counted::Pieces => Count::Pieces {
                            items: sizes.clone(),
                            beds,
                            width,
                        },
                        Counted::Holding => Count::Holding {
                            least: holds
                                .iter()
                                .map(|hold| proof::Hold {
                                    items: hold.sizes.clone(),
                                    at_least: hold.at_least,
                                })
                                .collect(),
                            beds,
                            width,
                        },
                    },
                    at_most: *at_most,
                    under: *under,
                    over: *over,
                }
            }
        }
    }
}
