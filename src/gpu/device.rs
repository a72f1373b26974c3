//! The adapter and its device, and what may go wrong with them, each in one sentence. May not enter: what
//! they draw.

use std::sync::atomic::{AtomicUsize, Ordering};
use std::sync::{Arc, Mutex, OnceLock};

/// What can go wrong with a graphics adapter.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum GpuError {
    /// There is none, or no driver for it.
    #[error(
        "no graphics adapter was found (on Debian and its kin the packages mesa-vulkan-drivers and libvulkan1 bring \
         one in software)"
    )]
    NoAdapter,
    /// The adapter gives no device.
    #[error("the graphics adapter {adapter} gives no device: {reason}")]
    NoDevice {
        /// Its name.
        adapter: String,
        /// In the driver's words.
        reason: String,
    },
    /// The device is gone.
    #[error("the graphics device was lost: {0}")]
    Lost(String),
    /// Its memory is full.
    #[error("the graphics device is out of memory")]
    OutOfMemory,
    /// It cannot draw what is asked.
    #[error("the graphics device refused: {0}")]
    Refused(String),
}

impl GpuError {
    /// Whether nothing can be drawn on that device any more.
    pub fn is_final(&self) -> bool {
        matches!(self, GpuError::Lost(_) | GpuError::OutOfMemory)
    }
}

/// An open device.
#[derive(Debug)]
pub struct Gpu {
    /// Makes resources.
    pub device: wgpu::Device,
    /// Takes work.
    pub queue: wgpu::Queue,
    /// The adapter's name and driver.
    pub name: String,
    /// Whether a processor plays the adapter.
    pub is_software: bool,
    /// The first thing that went wrong and has not been told yet.
    fault: Arc<Mutex<Option<GpuError>>>,
    /// Why the device is gone, if it is.
    lost: Arc<OnceLock<GpuError>>,
    /// How many things went wrong so far.
    faults: Arc<AtomicUsize>,
}

impl Gpu {
    /// Opens the best adapter there is. wgpu's own variables (`WGPU_BACKEND`, `WGPU_ADAPTER_NAME` …) narrow
    /// the choice.
    ///
    /// # Errors
    /// No adapter, or one that gives no device.
    pub fn open() -> Result<Gpu, GpuError> {
        let options = wgpu::InstanceDescriptor::new_without_display_handle_from_env();
        let (gpu, _) = Gpu::open_for(&wgpu::Instance::new(options), None)?;
        Ok(gpu)
    }

    /// Opens the best adapter of an instance, one that can show on `surface` if there is one, and hands the adapter
    /// back for whoever asks what that surface takes.
    ///
    /// # Errors
    /// No adapter, or one that gives no device.
    pub fn open_for(
        instance: &wgpu::Instance,
        surface: Option<&wgpu::Surface>,
    ) -> Result<(Gpu, wgpu::Adapter), GpuError> {
        pollster::block_on(async {
            let wish = wgpu::RequestAdapterOptions {
                power_preference: wgpu::PowerPreference::HighPerformance,
                compatible_surface: surface,
                ..Default::default()
            };
            let adapter = instance.request_adapter(&wish).await;
            let adapter = adapter.map_err(|_| GpuError::NoAdapter)?;
            let info = adapter.get_info();
            let request = wgpu::DeviceDescriptor {
                label: Some("sunside"),
                required_features: adapter.features() & wgpu::Features::TIMESTAMP_QUERY,
                required_limits: adapter.limits(),
                ..Default::default()
            };
            let opened = adapter.request_device(&request).await;
            let (device, queue) = opened.map_err(|error| GpuError::NoDevice {
                adapter: name_of(&info),
                reason: error.to_string(),
            })?;
            Ok((Gpu::of(device, queue, &info), adapter))
        })
    }

    /// A device that was opened elsewhere. What goes wrong with it from now on is told here, to nobody else.
    pub fn of(device: wgpu::Device, queue: wgpu::Queue, info: &wgpu::AdapterInfo) -> Gpu {
        let fault = Arc::new(Mutex::new(None));
        let faults = Arc::new(AtomicUsize::new(0));
        let (slot, count) = (Arc::clone(&fault), Arc::clone(&faults));
        let note = move |error: GpuError| {
            let mut slot = slot.lock().unwrap_or_else(|held| held.into_inner());
            slot.get_or_insert(error);
            count.fetch_add(1, Ordering::SeqCst);
        };
        let tell_loss = note.clone();
        let lost = Arc::new(OnceLock::new());
        let gone = Arc::clone(&lost);
        device.on_uncaptured_error(Arc::new(move |error: wgpu::Error| {
            note(match error {
                wgpu::Error::OutOfMemory { .. } => GpuError::OutOfMemory,
                other => GpuError::Refused(one_line(&other.to_string())),
            });
        }));
        device.set_device_lost_callback(move |reason, message| {
            let why = match reason {
                wgpu::DeviceLostReason::Destroyed => "it was taken away".to_string(),
                _ => one_line(&message),
            };
            let error = GpuError::Lost(why);
            gone.get_or_init(|| error.clone());
            tell_loss(error);
        });
        Gpu {
            device,
            queue,
            name: name_of(info),
            is_software: info.device_type == wgpu::DeviceType::Cpu,
            fault,
            lost,
            faults,
        }
    }

    /// Tells the first thing that went wrong since it was last asked; of a lost device always that it is lost, for
    /// what draws pictures and what paints the window both must hear of it.
    ///
    /// # Errors
    /// That thing.
    pub fn check(&self) -> Result<(), GpuError> {
        if let Some(lost) = self.lost.get() {
            return Err(lost.clone());
        }
        let mut slot = self.fault.lock().unwrap_or_else(|held| held.into_inner());
        slot.take().map_or(Ok(()), Err)
    }

    /// A buffer with its contents. Unlike wgpu's own helper it does not panic when the device is lost or its
    /// memory full: that is told as any other fault.
    pub fn buffer(&self, label: &str, contents: &[u8], usage: wgpu::BufferUsages) -> wgpu::Buffer {
        let buffer = self.device.create_buffer(&wgpu::BufferDescriptor {
            label: Some(label),
            size: (contents.len() as u64).next_multiple_of(wgpu::COPY_BUFFER_ALIGNMENT),
            usage: usage | wgpu::BufferUsages::COPY_DST,
            mapped_at_creation: false,
        });
        self.queue.write_buffer(&buffer, 0, contents);
        buffer
    }

    /// How many things have gone wrong so far. Whoever shares a device with others compares this before and
    /// after: `check` tells a fault to the first who asks.
    pub fn faults(&self) -> usize {
        self.faults.load(Ordering::SeqCst)
    }

    /// Waits until all work handed in is done.
    ///
    /// # Errors
    /// A lost device, or anything else that went wrong on the way.
    pub fn wait(&self) -> Result<(), GpuError> {
        let waited = self.device.poll(wgpu::PollType::wait_indefinitely());
        self.check()?;
        waited
            .map(|_| ())
            .map_err(|error| GpuError::Lost(error.to_string()))
    }
}

/// An adapter's name and driver.
fn name_of(info: &wgpu::AdapterInfo) -> String {
    format!("{} ({} {})", info.name, info.driver, info.driver_info)
}

/// A driver's message without its line breaks.
fn one_line(message: &str) -> String {
    message.split_whitespace().collect::<Vec<_>>().join(" ")
}
