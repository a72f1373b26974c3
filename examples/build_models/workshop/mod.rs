//! The model workshop: shapes, the parts of a locomotive made of them, and machines made of parts.
//! May not enter: the program that uses the models (it reads the files like anybody else's).

pub mod hood_six_axle; // one machine
pub mod machine; // groups, paints and figures, written as OBJ and TOML
pub mod parts; // hood, cab, truck, rails, couplers: each returns meshes
pub mod shape; // closed solids: prisms, lofts, tubes, turned bodies
