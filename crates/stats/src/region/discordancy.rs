//! Discordancy: how far the L-moment ratios of one site stand from those of its region.
//!
//! u_i = (t, t3, t4) of site i, u their plain mean over N sites, A = sum (u_i - u)(u_i - u)'; D_i = N/3 (u_i - u)' A^-1 (u_i - u). The mean
//! of D is 1. A site above the critical value is to be looked at, not thrown out. No unit.
//! Source: Hosking & Wallis (1997), section 3.2; critical values for 5 to 15 sites from table 3.1.

use super::RegionSite;
use series::Withheld;

/// D of each site, in the order given.
///
/// # Errors
/// [`Withheld::NoSolution`] below five sites, or when the sites' ratios do not spread in all three directions.
pub fn discordancies(sites: &[RegionSite]) -> Result<Vec<f64>, Withheld> {
    let n = sites.len() as f64;
    if sites.len() < 5 {
        return Err(Withheld::NoSolution);
    }
    let ratios: Vec<[f64; 3]> = sites.iter().map(|site| [site.t, site.t3, site.t4]).collect();
    let mean = [0, 1, 2].map(|i| ratios.iter().map(|u| u[i]).sum::<f64>() / n);
    let away: Vec<[f64; 3]> = ratios.iter().map(|u| [0, 1, 2].map(|i| u[i] - mean[i])).collect();
    let matrix = [0, 1, 2].map(|i| [0, 1, 2].map(|j| away.iter().map(|d| d[i] * d[j]).sum::<f64>()));
    let root = lower_root(&matrix).ok_or(Withheld::NoSolution)?;
    Ok(away.iter().map(|d| n / 3.0 * squared_length(&root, d)).collect())
}

/// The D above which a site of a region of so many sites is discordant; none below five sites.
pub fn critical_discordancy(sites: usize) -> Option<f64> {
    const FROM_FIVE: [f64; 10] = [1.333, 1.648, 1.917, 2.140, 2.329, 2.491, 2.632, 2.757, 2.869, 2.971];
    Some(FROM_FIVE.get(sites.checked_sub(5)?).copied().unwrap_or(3.0))
}

/// The lower triangle L with L L' equal to a symmetric matrix; nothing where the matrix is singular, to rounding.
fn lower_root(matrix: &[[f64; 3]; 3]) -> Option<[[f64; 3]; 3]> {
    let mut root = [[0.0; 3]; 3];
    for i in 0..3 {
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
    Some(root)
}

/// d' (L L')^-1 d.
fn squared_length(root: &[[f64; 3]; 3], d: &[f64; 3]) -> f64 {
    let mut solved = [0.0; 3];
    for i in 0..3 {
        let rest = d[i] - (0..i).map(|k| root[i][k] * solved[k]).sum::<f64>();
        solved[i] = rest / root[i][i];
    }
    solved.iter().map(|x| x * x).sum()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::region::tests::cascades;

    #[test]
    fn north_cascades() {
        // CHECKS B3.1 (R lmomRFA = own): D to the four printed decimals, in the order of the table's file.
        let expected = [
            0.5975, 1.0179, 0.3790, 0.2285, 0.9308, 2.6335, 2.1202, 0.4507, 0.1111, 1.6150, 2.0776, 1.5211, 0.3144, 1.2974, 1.5771, 0.2855,
            1.0391, 0.4280, 0.3758,
        ];
        let found = discordancies(&cascades().sites).unwrap();
        assert_eq!(found.len(), expected.len());
        for (found, expected) in found.iter().zip(expected) {
            assert!((found - expected).abs() <= 5e-5, "{found} {expected}");
        }
        assert!((found.iter().sum::<f64>() / 19.0 - 1.0).abs() < 1e-12);
        assert!(found.iter().all(|&d| d < critical_discordancy(19).unwrap()));
    }

    #[test]
    fn critical_values() {
        // CHECKS B3.2.
        let expected = [1.333, 1.648, 1.917, 2.140, 2.329, 2.491, 2.632, 2.757, 2.869, 2.971, 3.0, 3.0];
        assert!((5..).zip(expected).all(|(n, expected)| critical_discordancy(n) == Some(expected)));
        assert_eq!((critical_discordancy(4), critical_discordancy(0), critical_discordancy(500)), (None, None, Some(3.0)));
    }

    #[test]
    fn sites_that_do_not_spread() {
        let site = RegionSite { n: 30, t: 0.2, t3: 0.1, t4: 0.1, t5: 0.0 };
        assert_eq!(discordancies(&[site; 9]), Err(Withheld::NoSolution));
        assert_eq!(discordancies(&cascades().sites[..4]), Err(Withheld::NoSolution));
        // t4 twice t3 everywhere: no spread across that line.
        let line: Vec<RegionSite> = (0..9_i32)
            .map(|i| RegionSite { t: 0.2 + f64::from(i * i % 5) / 50.0, t3: f64::from(i) / 40.0, t4: f64::from(i) / 20.0, ..site })
            .collect();
        assert_eq!(discordancies(&line), Err(Withheld::NoSolution));
    }
}
