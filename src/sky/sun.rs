//! The sun's position (contract; being built).

/// Who looks at the sky, and through which air.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Observer {
    /// Degrees, north positive.
    pub lat_deg: f64,
    /// Degrees, east positive.
    pub lon_deg: f64,
    /// Metres above sea level.
    pub elevation_m: f64,
    /// Station pressure, hPa.
    pub pressure_hpa: f64,
    /// Air temperature, °C.
    pub temperature_c: f64,
}
/// The sun at an instant.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Sun {
    /// Clockwise from true north.
    pub azimuth_deg: f64,
    /// Apparent elevation (refracted).
    pub elevation_deg: f64,
    /// Elevation without refraction.
    pub true_elevation_deg: f64,
}
