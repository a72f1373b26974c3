//! Civil time (contract; being built).

use chrono::{DateTime, Utc};

/// A named zone with today's rules.
#[derive(Clone, Debug)]
pub struct Zone(jiff::tz::TimeZone);

impl Zone {
    /// By its name in the time-zone database.
    pub fn named(name: &str) -> Result<Zone, String> {
        jiff::tz::TimeZoneDatabase::bundled()
            .get(name)
            .map(Zone)
            .map_err(|_| format!("no such time zone: {name}"))
    }

    /// A local date and time.
    pub fn parse_instant(&self, text: &str) -> Result<DateTime<Utc>, String> {
        let civil: jiff::civil::DateTime = text.parse().map_err(|e: jiff::Error| e.to_string())?;
        let instant = self
            .0
            .to_ambiguous_zoned_datetime(civil)
            .unambiguous()
            .map_err(|e| e.to_string())?;
        DateTime::from_timestamp(instant.timestamp().as_second(), 0).ok_or("out of range".into())
    }
}
