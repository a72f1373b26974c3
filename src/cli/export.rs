//! stub. May not enter: x.
use super::frame_args::ExportArgs;
pub fn run(_: &ExportArgs, _: &mut dyn FnMut(&str)) -> Result<u8, miette::Report> {
    todo!()
}
