//! Civil time (contract; being built).

/// A named zone with today's rules.
#[derive(Clone, Debug)]
pub struct Zone(jiff::tz::TimeZone);
