//! Distances and directions on the ellipsoid WGS 84, by the library geographiclib-rs, and the straight line that is never longer.
//!
//! Places are (degrees north, degrees east).

use geographiclib_rs::{Geodesic, InverseGeodesic};
use series::math;
use std::sync::LazyLock;

static WGS_84: LazyLock<Geodesic> = LazyLock::new(Geodesic::wgs84);

/// Kilometres between two places, to the metre: the length of the geodesic on WGS 84.
pub fn distance_km(one: (f64, f64), other: (f64, f64)) -> f64 {
    distance_and_azimuth(one, other).0
}

/// Degrees from north by east in which the other place lies, at the first; -180 to 180.
pub fn azimuth_degrees(one: (f64, f64), other: (f64, f64)) -> f64 {
    distance_and_azimuth(one, other).1
}

/// Both of one geodesic.
pub(crate) fn distance_and_azimuth(one: (f64, f64), other: (f64, f64)) -> (f64, f64) {
    let (metres, azimuth, _, _): (f64, f64, f64, f64) = WGS_84.inverse(one.0, one.1, other.0, other.1);
    (metres.round() / 1000.0, azimuth)
}

/// A place on the ellipsoid as a point in space, kilometres from the earth's centre: with N = a / sqrt(1 - e² sin² lat),
/// x = N cos lat cos lon, y = N cos lat sin lon, z = N (1 - e²) sin lat (J. P. Snyder, Map Projections: A Working Manual, 1987, chapter 3; from
/// memory).
pub(crate) fn point_km((latitude, longitude): (f64, f64)) -> [f64; 3] {
    let (a, f) = (WGS_84.equatorial_radius() / 1000.0, WGS_84.flattening());
    let e2 = f * (2.0 - f);
    let (latitude, longitude) = (latitude.to_radians(), longitude.to_radians());
    let (sine, cosine) = (math::sin(latitude), math::cos(latitude));
    let n = a / (1.0 - e2 * sine * sine).sqrt();
    [n * cosine * math::cos(longitude), n * cosine * math::sin(longitude), n * (1.0 - e2) * sine]
}

/// Kilometres of the straight line through the earth between two such points. The geodesic lies on the surface, so it is never shorter.
pub(crate) fn straight_km(one: &[f64; 3], other: &[f64; 3]) -> f64 {
    let [x, y, z] = [one[0] - other[0], one[1] - other[1], one[2] - other[2]];
    (x * x + y * y + z * z).sqrt()
}

/// Kilometres that a degree of latitude has at least, which it has at the equator: a (1 - e²) pi / 180. Between two parallels no way is shorter
/// than the meridian.
pub(crate) fn least_km_of_a_degree_north() -> f64 {
    let (a, f) = (WGS_84.equatorial_radius() / 1000.0, WGS_84.flattening());
    (a * (1.0 - f) * (1.0 - f)).to_radians()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_degree_of_the_equator_is_111_km() {
        // WGS 84: the equator's radius is 6,378,137 m, so that one degree is 111.3194908 km.
        assert!((distance_km((0.0, 0.0), (0.0, 1.0)) - 111.319).abs() < 1e-9);
        assert!((distance_km((0.0, 179.5), (0.0, -179.5)) - 111.319).abs() < 1e-9, "over the date line");
        assert_eq!(distance_km((90.0, 0.0), (90.0, 77.0)), 0.0, "the pole has every longitude");
    }

    #[test]
    fn points_in_space_are_those_of_a_reference_library() {
        // pyproj 3.7.2, Transformer.from_crs("EPSG:4979", "EPSG:4978"), metres.
        for (place, expected) in POINTS {
            let point = point_km(place);
            assert!(point.iter().zip(expected).all(|(ours, theirs)| (ours * 1000.0 - theirs).abs() < 1e-3), "{place:?} {point:?}");
        }
        // The meridian from half a degree south to half a degree north: 110,574.304 m (pyproj 3.7.2, Geod(ellps="WGS84")).
        let degree = least_km_of_a_degree_north();
        assert!(degree <= 110.574_304 && degree > 110.574, "{degree}");
    }

    const POINTS: [((f64, f64), [f64; 3]); 3] = [
        ((44.9, -93.2), [-252_616.991_662_7, -4_518_385.920_120_4, 4_479_483.421_111_4]),
        ((-17.8, 179.9), [-6_074_702.884_859_1, 10_602.367_407_7, -1_937_320.133_434_9]),
        ((89.9, 10.0), [10_999.704_006_0, 1_939.544_596_1, 6_356_742.567_109_3]),
    ];
}
