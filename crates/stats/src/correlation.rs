//! The correlation of two series of numbers, added up pair by pair.

/// Sums of the pairs so far.
#[derive(Debug, Clone, Copy, Default)]
pub(crate) struct Correlation {
    n: f64,
    x: f64,
    y: f64,
    xx: f64,
    yy: f64,
    xy: f64,
}

impl Correlation {
    /// One pair more.
    pub(crate) fn add(&mut self, x: f64, y: f64) {
        self.n += 1.0;
        self.x += x;
        self.y += y;
        self.xx += x * x;
        self.yy += y * y;
        self.xy += x * y;
    }

    /// Pairs.
    pub(crate) fn pairs(&self) -> usize {
        self.n as usize
    }

    /// Pearson's coefficient; nothing when one of the two does not vary.
    pub(crate) fn coefficient(&self) -> Option<f64> {
        let (vx, vy) = (self.n * self.xx - self.x * self.x, self.n * self.yy - self.y * self.y);
        let found = (self.n * self.xy - self.x * self.y) / (vx * vy).sqrt();
        (vx > 0.0 && vy > 0.0 && found.is_finite()).then_some(found)
    }
}
