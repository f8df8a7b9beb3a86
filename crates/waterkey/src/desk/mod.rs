//! The work itself, as the command line and the server both ask for it: values in, values out.

pub(crate) mod binding;
pub(crate) mod engraving;
pub(crate) mod hearing;
pub(crate) mod writing;
