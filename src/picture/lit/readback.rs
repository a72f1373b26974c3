//! The way of pixels back to the processor. May not enter: what they show.

use crate::gpu::device::{Gpu, GpuError};

/// Reads a texture back without the padding of its rows.
pub fn read(gpu: &Gpu, texture: &wgpu::Texture, bytes_per_pixel: u32) -> Result<Vec<u8>, GpuError> {
    let (width, height) = (texture.width(), texture.height());
    let row = width * bytes_per_pixel;
    let padded = row.next_multiple_of(wgpu::COPY_BYTES_PER_ROW_ALIGNMENT);
    let buffer = gpu.device.create_buffer(&wgpu::BufferDescriptor {
        label: Some("read back"),
        size: u64::from(padded) * u64::from(height),
        usage: wgpu::BufferUsages::COPY_DST | wgpu::BufferUsages::MAP_READ,
        mapped_at_creation: false,
    });
    let mut encoder = gpu.device.create_command_encoder(&Default::default());
    encoder.copy_texture_to_buffer(
        texture.as_image_copy(),
        wgpu::TexelCopyBufferInfo {
            buffer: &buffer,
            layout: wgpu::TexelCopyBufferLayout {
                offset: 0,
                bytes_per_row: Some(padded),
                rows_per_image: None,
            },
        },
        texture.size(),
    );
    gpu.queue.submit([encoder.finish()]);
    buffer.map_async(wgpu::MapMode::Read, .., |_| {});
    gpu.wait()?;
    let lost = |error: String| GpuError::Lost(format!("its pixels cannot be read: {error}"));
    let mapped = buffer
        .get_mapped_range(..)
        .map_err(|error| lost(error.to_string()))?;
    let rows = mapped.chunks_exact(padded as usize);
    Ok(rows
        .flat_map(|line| &line[..row as usize])
        .copied()
        .collect())
}

/// IEEE 754 half precision.
pub fn half_to_f32(bits: u16) -> f32 {
    let sign = if bits & 0x8000 == 0 { 1.0 } else { -1.0 };
    let (exponent, mantissa) = (i32::from(bits >> 10 & 31), f32::from(bits & 1023));
    sign * match exponent {
        0 => mantissa * 2f32.powi(-24),
        31 if mantissa == 0.0 => f32::INFINITY,
        31 => f32::NAN,
        _ => (1.0 + mantissa / 1024.0) * 2f32.powi(exponent - 15),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Values of IEEE 754-2008, table of binary16.
    #[test]
    fn halves_are_read_as_the_standard_has_them() {
        for (bits, value) in [
            (0x0000, 0.0),
            (0x3C00, 1.0),
            (0xC000, -2.0),
            (0x7BFF, 65504.0),
            (0x0001, 5.960_464_5e-8),
            (0x3555, 0.333_251_95),
        ] {
            assert_eq!(half_to_f32(bits), value);
        }
        assert!(half_to_f32(0x7C00).is_infinite() && half_to_f32(0x7E00).is_nan());
    }
}
