//! Reading and printing lengths.

#![expect(
    clippy::unwrap_used,
    reason = "a bench program stops at the first surprise"
)]

use std::hint::black_box;

use criterion::{Criterion, criterion_group, criterion_main};
use longpoint::length::{Length, Notation, Rounding, Unit, format, parse};

fn lengths(bench: &mut Criterion) {
    let notation = Notation {
        unit: Unit::Inch,
        decimal_comma: false,
    };
    for (name, text) in [
        ("whole", "14"),
        ("decimal", "14.125"),
        ("fraction", "14 1/8 in"),
        ("feet and inches", "8' 2 1/2\""),
        ("millimeters", "3.2 mm"),
    ] {
        bench.bench_function(&std::format!("parse {name}"), |bencher| {
            bencher.iter(|| parse(black_box(text), notation).unwrap());
        });
    }
    let length = parse("14 17/64", notation).unwrap();
    let step = Length::from_nm(Length::INCH.nm() / 32);
    bench.bench_function("format to 1/32 in", |bencher| {
        bencher.iter(|| format(black_box(length), Unit::Inch, step, Rounding::Up));
    });
}

criterion_group!(benches, lengths);
criterion_main!(benches);
