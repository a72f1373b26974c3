//! (contract; being built)
