//! How fast a hall's likelihood is beside the same from a general-purpose library (`faer`), at the sizes that occur:
//! 24 values (the close look at a change, most of all by far), 40 and 64 (a whole passage, coarse and close).
//! Both factorize a matrix of complex single precision, solve for its values and add up the logarithms of
//! the diagonal, and both copy the matrix before. `cargo bench -p ear --features peers --bench likelihood`.
#![allow(missing_docs, clippy::unwrap_used)]

use std::hint::black_box;

use criterion::{BenchmarkId, Criterion, criterion_group, criterion_main};
use ear::slur::hall::{Covariance, likelihood};
use faer::dyn_stack::{MemBuffer, MemStack};
use faer::linalg::cholesky::llt::factor::{
    LltRegularization, cholesky_in_place, cholesky_in_place_scratch,
};
use faer::linalg::triangular_solve::solve_lower_triangular_in_place;
use faer::{Mat, Par, Spec, c32};
use num_complex::Complex32;

const SIZES: [usize; 3] = [24, 40, 64];

/// How alike a tone in an echo is to itself some values later, with noise beside it.
fn along(late: usize, early: usize) -> Complex32 {
    let steps = (late - early) as f32;
    let noise = if late == early { 0.02 } else { 0.0 };
    Complex32::from_polar((-0.07 * steps).exp(), -0.4 * steps) + noise
}

fn values(count: usize) -> Vec<Complex32> {
    (0..count)
        .map(|k| Complex32::new((1.7 * k as f32).sin(), (2.3 * k as f32).cos()))
        .collect()
}

/// The library's way, its buffers made once.
struct Library {
    matrix: Mat<c32>,
    values: Mat<c32>,
    factor: Mat<c32>,
    solved: Mat<c32>,
    memory: MemBuffer,
}

impl Library {
    fn new(count: usize) -> Self {
        let from = |z: Complex32| c32::new(z.re, z.im);
        let matrix = Mat::from_fn(count, count, |row, column| {
            if row < column {
                c32::new(0.0, 0.0)
            } else {
                // The lower triangle: late by early.
                from(along(row, column).conj())
            }
        });
        let of = values(count);
        let values = Mat::from_fn(count, 1, |row, _| from(of[row]));
        let need = cholesky_in_place_scratch::<c32>(count, Par::Seq, Spec::default());
        Self {
            factor: matrix.clone(),
            solved: values.clone(),
            memory: MemBuffer::new(need),
            matrix,
            values,
        }
    }

    fn likelihood(&mut self) -> f64 {
        self.factor.copy_from_triangular_lower(&self.matrix);
        self.solved.copy_from(&self.values);
        let memory = MemStack::new(&mut self.memory);
        let regular = LltRegularization::default();
        cholesky_in_place(
            self.factor.as_mut(),
            regular,
            Par::Seq,
            memory,
            Spec::default(),
        )
        .unwrap();
        solve_lower_triangular_in_place(self.factor.as_ref(), self.solved.as_mut(), Par::Seq);
        let rows = 0..self.matrix.nrows();
        rows.map(|row| {
            let (power, value) = (self.factor[(row, row)].re, self.solved[(row, 0)]);
            -f64::from(2.0 * power.ln()) - f64::from(value.re * value.re + value.im * value.im)
        })
        .sum()
    }
}

fn likelihoods(c: &mut Criterion) {
    let mut group = c.benchmark_group("likelihood");
    for count in SIZES {
        let mut ground = Covariance::new(&values(count));
        for early in 0..count {
            for late in early..count {
                ground.add(early, late, along(late, early));
            }
        }
        let mut covariance = ground.clone();
        let mut library = Library::new(count);
        let (here, there) = (likelihood(&mut covariance), library.likelihood());
        assert!((here - there).abs() < 1e-2 * there.abs(), "{here} {there}");
        group.bench_function(BenchmarkId::new("here", count), |b| {
            b.iter(|| {
                covariance.copy(black_box(&ground));
                likelihood(&mut covariance)
            });
        });
        group.bench_function(BenchmarkId::new("faer", count), |b| {
            b.iter(|| black_box(&mut library).likelihood());
        });
    }
    group.finish();
}

criterion_group!(benches, likelihoods);
criterion_main!(benches);
