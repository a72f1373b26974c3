//! The graphics adapter of the tests: there is one, or `SUNSIDE_NO_GPU=1` says that none is expected. May not
//! enter: what is drawn with it.

pub mod stages;

use std::sync::{Arc, Mutex, MutexGuard, OnceLock, PoisonError};
use sunside::gpu::device::Gpu;
use sunside::gpu::rasterizer::GpuRasterizer;
use sunside::picture::lit::Lit;
use sunside::sighting::cpu::Cpu;
use sunside::sighting::rasterizer::Rasterizer;

/// The adapter, opened once. A test that gets none was told to expect none, and says that it did not run.
///
/// # Panics
/// There is no adapter, and nobody said so.
pub fn adapter() -> Option<Arc<Gpu>> {
    static GPU: OnceLock<Option<Arc<Gpu>>> = OnceLock::new();
    let gpu = GPU.get_or_init(|| {
        if std::env::var("SUNSIDE_NO_GPU").is_ok_and(|set| set == "1") {
            return None;
        }
        let gpu = Gpu::open();
        Some(Arc::new(gpu.unwrap_or_else(|e| {
            panic!("{e}; SUNSIDE_NO_GPU=1 says that none is expected")
        })))
    });
    if gpu.is_none() {
        eprintln!("not run: SUNSIDE_NO_GPU says that no graphics adapter is expected");
    }
    gpu.clone()
}

/// The GPU's rasterizer, shared by all tests; any fault of the device fails them.
pub fn drawing() -> Option<&'static GpuRasterizer> {
    static DRAWING: OnceLock<GpuRasterizer> = OnceLock::new();
    let gpu = adapter()?;
    let drawing = DRAWING.get_or_init(|| {
        let tell = Box::new(|told: &str| panic!("{told}"));
        GpuRasterizer::new(gpu, tell).unwrap()
    });
    // Else the processor would be held against itself.
    assert!(!drawing.has_failed(), "the device failed in another test");
    Some(drawing)
}

/// The picture's passes on the same device, one test at a time.
pub fn painting() -> Option<MutexGuard<'static, Lit>> {
    static LIT: OnceLock<Mutex<Lit>> = OnceLock::new();
    let gpu = adapter()?;
    let lit = LIT.get_or_init(|| Mutex::new(Lit::on(gpu).unwrap()));
    Some(lit.lock().unwrap_or_else(PoisonError::into_inner))
}

/// Runs a check with the processor's rasterizer, then with the GPU's.
pub fn with_both(check: impl Fn(&dyn Rasterizer)) {
    check(&Cpu::default());
    if let Some(drawing) = drawing() {
        check(drawing);
        assert!(!drawing.has_failed());
    }
}
