//! The solver's certificate in terms of the job.

use super::Origins;
use crate::cutting::{self, Instance, PartProof};
use crate::plan::certificate::{BoardKind, Certificate, Claim, ProofNode, Rip, StripName};

/// Names the items and stocks of `certificate` by parts and boards.
///
/// # Panics
/// If the certificate is not one of the instance that `origins` belongs to.
pub fn raise_certificate(
    instance: &Instance,
    origins: &Origins,
    certificate: &cutting::InstanceProof,
) -> Certificate {
    let claims = certificate
        .parts
        .iter()
        .map(|part| raise_claim(instance, origins, part))
        .collect();
    Certificate { claims }
}

fn raise_claim(instance: &Instance, origins: &Origins, part: &PartProof) -> Claim {
    let mut named = Named {
        instance,
        part,
        strips: Vec::new(),
        rips: Vec::new(),
    };
    let missing_proof = named.raise_nodes(&part.missing_nodes);
    let proof = named.raise_nodes(&part.nodes);
    let Named { strips, rips, .. } = named;
    let kinds = part
        .stocks
        .iter()
        .map(|&stock| {
            let holds = |item: usize| {
                let mut strips = instance.stocks[stock]
                    .layouts
                    .iter()
                    .flat_map(|layout| &layout.strips);
                strips.any(|&strip| instance.strips[strip].items.contains(&item))
            };
            BoardKind {
                board_idx: origins.board_indices[stock],
                classes: (0..part.items.len())
                    .filter(|&class| holds(part.items[class]))
                    .collect(),
            }
        })
        .collect();
    Claim {
        missing: part.missing,
        missing_proof,
        bound: part.proves,
        unit: part.unit,
        classes: part
            .items
            .iter()
            .map(|&item| origins.items[item].parts[0])
            .collect(),
        kinds,
        strips,
        rips,
        proof,
    }
}

/// A part of an instance, with the strips and rips that its proof has named so far.
struct Named<'a> {
    instance: &'a Instance,
    part: &'a PartProof,
    strips: Vec<StripName>,
    rips: Vec<Rip>,
}

impl Named<'_> {
    fn raise_nodes(&mut self, nodes: &[cutting::ProofNode]) -> Vec<ProofNode> {
        nodes.iter().map(|node| self.raise_node(node)).collect()
    }

    fn raise_node(&mut self, node: &cutting::ProofNode) -> ProofNode {
        match node {
            cutting::ProofNode::Leaf {
                denominator,
                prices,
                conditions,
            } => ProofNode::Prices {
                scale: *denominator,
                classes: prices.clone(),
                // The sign is that of the case; only the size is told.
                conditions: conditions.iter().map(|price| price.abs()).collect(),
            },
            cutting::ProofNode::Split {
                stocks,
                divided,
                absent,
                at_most,
                under,
                over,
            } => {
                let kinds = stocks.iter().map(|&stock| self.kind(stock)).collect();
                let mut rips: Vec<usize> = divided
                    .iter()
                    .map(|&(stock, layout)| self.rip(stock, layout))
                    .collect();
                // Layouts that differ in nothing that matters have one name.
                rips.sort_unstable();
                rips.dedup();
                ProofNode::Split {
                    kinds,
                    rips,
                    missing: *absent,
                    at_most: *at_most,
                    under: *under,
                    over: *over,
                }
            }
            // The items of a part are the classes of its claim, in the same order.
            cutting::ProofNode::Pair {
                pair,
                apart,
                together,
            } => ProofNode::Pair {
                pair: *pair,
                apart: *apart,
                together: *together,
            },
        }
    }

    fn kind(&self, stock: usize) -> usize {
        self.part
            .stocks
            .binary_search(&stock)
            .expect("a part splits on its own stocks")
    }

    /// The index of the rip that a layout of a stock is.
    fn rip(&mut self, stock: usize, layout: usize) -> usize {
        let layout = &self.instance.stocks[stock].layouts[layout];
        let mut strips: Vec<usize> = layout
            .strips
            .iter()
            .map(|&strip| {
                let strip = &self.instance.strips[strip];
                let items = strip.items.iter();
                let classes = items.filter_map(|item| self.part.items.binary_search(item).ok());
                let name = StripName {
                    classes: classes.collect(),
                    capacity: strip.capacity,
                };
                place_of(&mut self.strips, name)
            })
            .collect();
        strips.sort_unstable();
        let kind = self.kind(stock);
        place_of(&mut self.rips, Rip { kind, strips })
    }
}

/// The index of `wanted` in `list`, where it is put if it is new.
fn place_of<T: PartialEq>(list: &mut Vec<T>, wanted: T) -> usize {
    list.iter()
        .position(|known| *known == wanted)
        .unwrap_or_else(|| {
            list.push(wanted);
            list.len() - 1
        })
}
