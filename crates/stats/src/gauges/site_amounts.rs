//! The site's rain over the lead gauge's, by calendar month, from several gauges about it.
//!
//! The normal-ratio method (`normal_ratio.rs`) in the lead's rain as unit: R_m = (1 / sum w_i) sum w_i (N_x / N_i) r_i,m with r_i,m the rain of
//! gauge i over that of the lead in month m ([`super::GaugeRatios`]; 1 for the lead itself) and inverse-distance weights w_i = d_i^-2. The
//! normals N of the site and of the gauge differ by height alone, and only where the gauges show that rain grows with height
//! (`height_gradient.rs`). So the site keeps one gauge's days, and several gauges tell its amounts (CHECKS H6, A5).
//!
//! A lead that stands at the site, at its height, has nearly all the weight, and R is 1.

use super::height_gradient::HeightGradient;
use super::normal_ratio::{Amount, inverse_distance_weights, normal_ratio};
use serde::Serialize;
use series::math;

/// A gauge counts as at least this far from the site, km: nearer ones differ by where the gauge stands, not by the place.
const LEAST_DISTANCE_KM: f64 = 0.5;
/// Power of the distance (CHECKS A5.4).
const POWER: f64 = 2.0;

/// A gauge about the site.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct GaugeAmounts {
    /// Its rain over the lead's, January to December.
    pub ratios: [f64; 12],
    /// Of the year.
    pub annual: f64,
    /// Kilometres east and north of the site.
    pub east_north_km: (f64, f64),
    /// Metres above the sea, where known.
    pub height_m: Option<f64>,
}

/// What the gauges say of the site.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct SiteAmounts {
    /// The site's rain over the lead's, January to December.
    pub factors: [f64; 12],
    /// Weight of each gauge, in their order.
    pub weights: Vec<f64>,
    /// The growth of rain with height, where it was used.
    pub gradient: Option<HeightGradient>,
}

/// The site's rain over the lead's from gauges among which the lead is; nothing without a gauge or when a ratio is not finite. `height_m` is the site's.
pub fn site_amounts(gauges: &[GaugeAmounts], height_m: Option<f64>) -> Option<SiteAmounts> {
    if gauges.is_empty() {
        return None;
    }
    let weights = weights(gauges, (0.0, 0.0));
    let heights: Option<Vec<f64>> = gauges.iter().map(|gauge| gauge.height_m).collect();
    let gradient = heights.as_deref().filter(|_| height_m.is_some()).and_then(|heights| gradient(gauges, heights));
    // Normals but for a factor that all share: the rain of a height over that of the site's.
    let normal = |gauge: &GaugeAmounts| match (gradient, height_m, gauge.height_m) {
        (Some(gradient), Some(site), Some(own)) => gradient.ratio(own, site),
        _ => 1.0,
    };
    let of_month = |month: usize| {
        let amounts = gauges.iter().zip(&weights);
        let amounts: Vec<Amount> =
            amounts.map(|(gauge, &weight)| Amount { normal: normal(gauge), amount: gauge.ratios[month], weight }).collect();
        normal_ratio(1.0, &amounts).ok()
    };
    let mut factors = [1.0; 12];
    for (month, factor) in factors.iter_mut().enumerate() {
        *factor = of_month(month)?;
    }
    Some(SiteAmounts { factors, weights, gradient })
}

fn gradient(gauges: &[GaugeAmounts], heights: &[f64]) -> Option<HeightGradient> {
    let logarithms: Vec<f64> = gauges.iter().map(|gauge| math::ln(gauge.annual)).collect();
    HeightGradient::new(heights, &logarithms, |out, values| {
        let others: Vec<GaugeAmounts> = gauges.iter().enumerate().filter(|(at, _)| *at != out).map(|(_, gauge)| *gauge).collect();
        let values = values.iter().enumerate().filter(|(at, _)| *at != out).map(|(_, value)| value);
        weights(&others, gauges[out].east_north_km).iter().zip(values).map(|(weight, value)| weight * value).sum()
    })
}

fn weights(gauges: &[GaugeAmounts], at: (f64, f64)) -> Vec<f64> {
    let distance = |gauge: &GaugeAmounts| {
        let (east, north) = (gauge.east_north_km.0 - at.0, gauge.east_north_km.1 - at.1);
        (east * east + north * north).sqrt()
    };
    inverse_distance_weights(&gauges.iter().map(distance).collect::<Vec<_>>(), POWER, LEAST_DISTANCE_KM)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn gauge(ratio: f64, east_north_km: (f64, f64), height_m: Option<f64>) -> GaugeAmounts {
        GaugeAmounts { ratios: [ratio; 12], annual: ratio, east_north_km, height_m }
    }

    #[test]
    fn the_published_weights_and_a_lead_at_the_site() {
        // CHECKS A5.4 (computed): 20, 25 and 30 at 10, 15 and 20 km make 22.78688525; as ratios to the first, over 20.
        let gauges = [gauge(1.0, (10.0, 0.0), None), gauge(1.25, (0.0, -15.0), None), gauge(1.5, (-12.0, 16.0), None)];
        let found = site_amounts(&gauges, Some(300.0)).unwrap();
        assert!((found.factors[7] * 20.0 - 22.786_885_25).abs() < 5e-9 && found.gradient.is_none(), "{found:?}");
        assert!((found.weights.iter().sum::<f64>() - 1.0).abs() < 1e-12);
        // At 0.5 and 50 km the weights are as 10,000 to 1.
        let at_site = site_amounts(&[gauge(1.0, (0.0, 0.1), None), gauge(2.0, (50.0, 0.0), None)], None).unwrap();
        assert!((at_site.factors[0] - (1.0 + 1.0 / 10_001.0)).abs() < 1e-12, "{at_site:?}");
        assert_eq!(site_amounts(&[], None), None);
    }

    #[test]
    fn height_is_followed_where_the_gauges_show_it() {
        // Rain grows by exp(0.0005 h); the site stands at 500 m among gauges at 100 to 700 m.
        let at = |height: f64, place: (f64, f64)| gauge(math::exp(0.0005 * (height - 100.0)), place, Some(height));
        let gauges =
            [at(100.0, (5.0, 0.0)), at(250.0, (-10.0, 3.0)), at(400.0, (2.0, 12.0)), at(700.0, (-9.0, -14.0)), at(150.0, (20.0, 1.0))];
        let found = site_amounts(&gauges, Some(500.0)).unwrap();
        assert!((found.factors[3] - math::exp(0.2)).abs() < 1e-9, "{found:?}");
        assert!(found.gradient.is_some() && site_amounts(&gauges, None).unwrap().gradient.is_none());
    }
}
