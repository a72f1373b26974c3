//! The model workshop: shapes, the parts of a locomotive made of them, and machines made of parts.
//! May not enter: the program that uses the models (it reads the files like anybody else's).

pub mod assemblies; // groups of parts that machines share, with names and paints
pub mod carbody_unit; // a four-axle carbody cab unit
pub mod end_cab_switcher; // a four-axle switcher with its cab at one end
pub mod hood_six_axle; // a six-axle hood unit
pub mod liveries; // sets of paints
pub mod machine; // groups, paints and figures, written as OBJ and TOML
pub mod parts; // hood, cab, truck, rails, couplers: each returns meshes
pub mod points; // corners by which a photograph is measured
pub mod road_switcher; // a four-axle road switcher
pub mod shape; // closed solids: prisms, lofts, tubes, turned bodies
