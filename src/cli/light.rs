//! stub. May not enter: x.
use super::frame_args::LightArgs;
pub fn run(_: &LightArgs, _: &mut dyn FnMut(&str)) -> Result<u8, miette::Report> {
    todo!()
}
