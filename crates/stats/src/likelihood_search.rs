//! The greatest value of a smooth function of two or three numbers, and how sharp it is: what a fit by maximum likelihood needs.
//!
//! The search is the simplex of Nelder & Mead (1965, The Computer Journal 7) with their coefficients (reflect 1, expand 2, contract 1/2,
//! shrink 1/2), begun anew from the best point until that gains nothing. It takes no derivative, so an edge of the range (minus infinity
//! beyond it) does not stop it. The sharpness is the matrix of second derivatives by central differences; minus its inverse is the
//! asymptotic covariance. No step is random.

/// A point and its value.
type Vertex<const N: usize> = ([f64; N], f64);

/// The point with the greatest value near `start`, and the value; nothing where the search does not settle or the value is not finite.
/// A NaN counts as minus infinity. `step` is the size of the first simplex, `settled` that of the last, in the units of the numbers.
pub(crate) fn greatest<const N: usize>(f: impl Fn(&[f64; N]) -> f64, start: [f64; N], step: f64, settled: f64) -> Option<Vertex<N>> {
    let value = |point: [f64; N]| {
        let value = f(&point);
        (point, if value.is_nan() { f64::NEG_INFINITY } else { value })
    };
    let mut best = value(start);
    if !best.1.is_finite() {
        return None;
    }
    let mut step = step;
    for _ in 0..30 {
        let found = settle(&value, best, step, settled)?;
        let gained = found.1 - best.1;
        best = found;
        if gained <= 1e-12 * best.1.abs().max(1.0) {
            return best.1.is_finite().then_some(best);
        }
        step = (step / 2.0).max(100.0 * settled);
    }
    None
}

/// One run of the simplex from `start`.
fn settle<const N: usize>(value: &impl Fn([f64; N]) -> Vertex<N>, start: Vertex<N>, step: f64, settled: f64) -> Option<Vertex<N>> {
    let mut simplex = vec![start];
    for i in 0..N {
        let mut point = start.0;
        point[i] += step;
        simplex.push(value(point));
    }
    for _ in 0..2000 {
        simplex.sort_by(|a, b| b.1.total_cmp(&a.1));
        let (best, worst) = (simplex[0], simplex[N]);
        let size = simplex.iter().flat_map(|v| v.0.iter().zip(&best.0).map(|(a, b)| (a - b).abs())).fold(0.0, f64::max);
        if size <= settled {
            return Some(best);
        }
        let mut centre = [0.0; N];
        for vertex in &simplex[..N] {
            centre.iter_mut().zip(&vertex.0).for_each(|(c, x)| *c += x / N as f64);
        }
        // The point on the line from the worst through the centre, `by` times as far beyond it.
        let along = |by: f64| {
            let mut point = centre;
            point.iter_mut().zip(&worst.0).for_each(|(c, w)| *c += by * (*c - w));
            value(point)
        };
        let reflected = along(1.0);
        simplex[N] = if reflected.1 > best.1 {
            let expanded = along(2.0);
            if expanded.1 > reflected.1 { expanded } else { reflected }
        } else if reflected.1 > simplex[N - 1].1 {
            reflected
        } else {
            let contracted = if reflected.1 > worst.1 { along(0.5) } else { along(-0.5) };
            if contracted.1 <= reflected.1.max(worst.1) {
                for vertex in &mut simplex[1..] {
                    let mut point = vertex.0;
                    point.iter_mut().zip(&best.0).for_each(|(x, b)| *x = f64::midpoint(*x, *b));
                    *vertex = value(point);
                }
                continue;
            }
            contracted
        };
    }
    None
}

/// The standard errors at the greatest value of a log-likelihood: the roots of the diagonal of minus the inverse of its second derivatives,
/// taken over `step` either side; nothing where it is no rounded top.
pub(crate) fn standard_errors<const N: usize>(f: impl Fn(&[f64; N]) -> f64, at: &[f64; N], step: f64) -> Option<[f64; N]> {
    let moved = |i: usize, a: f64, j: usize, b: f64| {
        let mut point = *at;
        point[i] += a * step;
        point[j] += b * step;
        f(&point)
    };
    let information: [[f64; N]; N] = std::array::from_fn(|i| {
        std::array::from_fn(|j| {
            let difference = moved(i, 1.0, j, 1.0) - moved(i, 1.0, j, -1.0) - moved(i, -1.0, j, 1.0) + moved(i, -1.0, j, -1.0);
            -difference / (4.0 * step * step)
        })
    });
    inverse_diagonal(information).map(|diagonal| diagonal.map(f64::sqrt))
}

/// The diagonal of the inverse of a symmetric matrix; nothing where that is not positive definite, or holds a number that is not finite.
fn inverse_diagonal<const N: usize>(matrix: [[f64; N]; N]) -> Option<[f64; N]> {
    // Matrix = L L'; the columns of L^-1 give the diagonal.
    let mut root = [[0.0; N]; N];
    for i in 0..N {
        for j in 0..=i {
            let rest = matrix[i][j] - (0..j).map(|k| root[i][k] * root[j][k]).sum::<f64>();
            if i == j {
                if rest <= 1e-12 * matrix[i][i] || !rest.is_finite() {
                    return None;
                }
                root[i][i] = rest.sqrt();
            } else {
                root[i][j] = rest / root[j][j];
            }
        }
    }
    let mut diagonal = [0.0; N];
    for (j, sum) in diagonal.iter_mut().enumerate() {
        let mut column = [0.0; N];
        for i in j..N {
            let unit = if i == j { 1.0 } else { 0.0 };
            column[i] = (unit - (j..i).map(|k| root[i][k] * column[k]).sum::<f64>()) / root[i][i];
        }
        *sum = column.iter().map(|x| x * x).sum();
    }
    diagonal.iter().all(|value: &f64| value.is_finite()).then_some(diagonal)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_curved_valley() {
        // Rosenbrock (1960): the least of 100 (y - x^2)^2 + (1 - x)^2 is 0 at (1, 1).
        let valley = |p: &[f64; 2]| -(100.0 * (p[1] - p[0] * p[0]) * (p[1] - p[0] * p[0]) + (1.0 - p[0]) * (1.0 - p[0]));
        let (point, value) = greatest(valley, [-1.2, 1.0], 0.5, 1e-9).unwrap();
        assert!((point[0] - 1.0).abs() < 1e-6 && (point[1] - 1.0).abs() < 1e-6 && value > -1e-12, "{point:?}");
    }

    #[test]
    fn edges_and_functions_without_a_top() {
        // Beyond the edge at 1 there is nothing, and a NaN beyond 5.
        let edge = |p: &[f64; 2]| {
            if p[0] > 5.0 {
                f64::NAN
            } else if p[0] > 1.0 {
                f64::NEG_INFINITY
            } else {
                p[0] - p[1] * p[1]
            }
        };
        let (point, _) = greatest(edge, [0.0, 1.0], 0.5, 1e-9).unwrap();
        assert!(point[0] <= 1.0 && point[0] > 0.999 && point[1].abs() < 0.05, "{point:?}");
        assert_eq!(greatest(edge, [2.0, 0.0], 0.5, 1e-9), None);
        assert_eq!(greatest(|p: &[f64; 2]| p[0] + p[1], [0.0, 0.0], 0.5, 1e-9), None);
    }

    #[test]
    fn errors_by_hand() {
        // -(x^2 + x y + y^2): information [[2, 1], [1, 2]], inverse [[2, -1], [-1, 2]] / 3.
        let errors = standard_errors(|p: &[f64; 2]| -(p[0] * p[0] + p[0] * p[1] + p[1] * p[1]), &[0.0, 0.0], 1e-3).unwrap();
        assert!(errors.iter().all(|error| (error - (2.0_f64 / 3.0).sqrt()).abs() < 1e-9));
        // A saddle and a slope are no top.
        assert_eq!(standard_errors(|p: &[f64; 2]| p[0] * p[0] - p[1] * p[1], &[0.0, 0.0], 1e-3), None);
        assert_eq!(standard_errors(|p: &[f64; 2]| p[0] + p[1], &[0.0, 0.0], 1e-3), None);
        assert_eq!(standard_errors(|_: &[f64; 2]| f64::NAN, &[0.0, 0.0], 1e-3), None);
    }
}
