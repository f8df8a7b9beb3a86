//! JSON Schema of the three kinds of file, published in `schema/`.

use schemars::Schema;

use crate::exercise::Exercise;
use crate::level::Levels;
use crate::routine::Routine;

/// Name of each published schema and the schema.
///
/// ```
/// let names: Vec<&str> = routine::file::schemas().iter().map(|(n, _)| *n).collect();
/// assert_eq!(names, ["exercise", "levels", "routine"]);
/// ```
#[must_use]
pub fn schemas() -> [(&'static str, Schema); 3] {
    [
        ("exercise", schemars::schema_for!(Exercise)),
        ("levels", schemars::schema_for!(Levels)),
        ("routine", schemars::schema_for!(Routine)),
    ]
}
