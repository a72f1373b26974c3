//! tmp
#![allow(missing_docs)]
use crate::scene::Scene; use crate::scene::machine::HeadEnd; use crate::sky::daylight::SkyCondition; use crate::camera::film::Film; use std::path::Path;
#[derive(Clone,Debug,PartialEq)] pub struct Setting{pub head_end:HeadEnd,pub chainage_m:f64,pub doors_open:bool,pub sky:SkyCondition,pub weeds_cut:bool,pub film:Film,pub lenses_mm:Vec<f64>,pub f_number:f64}
pub struct Models; impl Models{pub fn beside(_:&Scene,_:&Path)->Models{Models}}
impl Setting{pub fn of(s:&Scene)->Setting{Setting{head_end:if s.machine.head_end==HeadEnd::First{HeadEnd::First}else{HeadEnd::Second},chainage_m:s.machine.chainage_m,doors_open:s.machine.doors_open,sky:s.sky,weeds_cut:false,film:s.kit.film,lenses_mm:s.kit.lenses_mm.clone(),f_number:s.kit.f_number}}
pub fn toggle_coupled(&mut self,_:bool){}
pub fn scene(&self,b:&Scene,_:&Models)->Result<Scene,String>{let mut s=b.with_head_end(self.head_end);s.sky=self.sky;s.machine.doors_open=self.doors_open;s.with_chainage(self.chainage_m).ok_or("off".into())}}
