//! Second-order filter sections.

/// One section in transposed direct form II with its state.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Biquad {
    /// Numerator, `b0 b1 b2`.
    pub b: [f64; 3],
    /// Denominator after the leading 1, `a1 a2`.
    pub a: [f64; 2],
    state: [f64; 2],
}

impl Biquad {
    /// A section that lets everything through.
    pub const THROUGH: Self = Self::new([1.0, 0.0, 0.0], [0.0; 2]);

    /// A section from its coefficients.
    #[must_use]
    pub const fn new(b: [f64; 3], a: [f64; 2]) -> Self {
        Self {
            b,
            a,
            state: [0.0; 2],
        }
    }

    /// The bilinear transform of `(n0 + n1 s + n2 s^2) / (d0 + d1 s + d2 s^2)`, `s` in radians a
    /// second, without prewarping.
    #[must_use]
    pub fn bilinear(n: [f64; 3], d: [f64; 3], rate: f64) -> Self {
        let k = 2.0 * rate;
        let [n0, n1, n2] = [n[0], n[1] * k, n[2] * k * k];
        let [d0, d1, d2] = [d[0], d[1] * k, d[2] * k * k];
        let lead = d0 + d1 + d2;
        Self::new(
            [
                (n0 + n1 + n2) / lead,
                2.0 * (n0 - n2) / lead,
                (n0 - n1 + n2) / lead,
            ],
            [2.0 * (d0 - d2) / lead, (d0 - d1 + d2) / lead],
        )
    }

    /// The next sample.
    pub fn next(&mut self, x: f64) -> f64 {
        let y = self.b[0] * x + self.state[0];
        self.state[0] = self.b[1] * x - self.a[0] * y + self.state[1];
        self.state[1] = self.b[2] * x - self.a[1] * y;
        y
    }

    /// Power gain at a frequency.
    #[must_use]
    pub fn power_gain(&self, hz: f64, rate: f64) -> f64 {
        let w = std::f64::consts::TAU * hz / rate;
        let power = |c: [f64; 3]| {
            let re = c[0] + c[1] * w.cos() + c[2] * (2.0 * w).cos();
            let im = c[1] * w.sin() + c[2] * (2.0 * w).sin();
            re * re + im * im
        };
        power(self.b) / power([1.0, self.a[0], self.a[1]])
    }
}
