//! Magnetic declination (contract; being built).
