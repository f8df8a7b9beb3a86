//! What cannot be right in an exercise, whichever way it came in.

use super::{
    Carry, Exercise, FORMAT_VERSION, Figure, Leap, LeapRoot, Loudness, Marks, Move, MoveWord, Rest,
    Roof, Slur, Tempo, Travel, TubePitch,
};

/// Most notes in a figure.
pub const MAX_FIGURE: usize = 64;

/// Something that contradicts the rules of an exercise.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
#[error("{field}: {message}; {help}")]
pub struct Problem {
    /// The key of the file, with dots for keys inside (`travel.by`).
    pub field: &'static str,
    /// What is wrong.
    pub message: String,
    /// What to do.
    pub help: String,
}

impl Exercise {
    /// All contradictions, in the order of the keys; empty when the exercise can be expanded.
    ///
    /// ```
    /// use routine::file::read_exercise;
    /// let text = include_str!("../../library/arpeggios-one-roof-major.toml");
    /// let exercise = read_exercise(text).value.unwrap();
    /// assert!(exercise.problems().is_empty());
    /// ```
    #[must_use]
    pub fn problems(&self) -> Vec<Problem> {
        let mut found = Found(Vec::new());
        self.check_head(&mut found);
        self.check_figure(&mut found);
        self.check_travel(&mut found);
        self.check_bounds(&mut found);
        self.check_manner(&mut found);
        found.0
    }

    fn check_head(&self, found: &mut Found) {
        if self.version != FORMAT_VERSION {
            found.add(
                "version",
                format!("version {} is not known", self.version),
                format!("this program reads version {FORMAT_VERSION}"),
            );
        }
        let good_id = !self.id.is_empty()
            && self.id.len() <= 80
            && self
                .id
                .chars()
                .all(|c| c.is_ascii_lowercase() || c.is_ascii_digit() || c == '-');
        if !good_id {
            found.add(
                "id",
                format!("`{}` is not an identifier", short(&self.id)),
                "use lower-case letters, digits and hyphens, as in one-roof-major",
            );
        }
        if self.title.trim().is_empty() {
            found.add("title", "the title is empty", "give the exercise a name");
        }
        if self.purpose.trim().is_empty() {
            found.add(
                "purpose",
                "the purpose is empty",
                "say in one sentence what it is for",
            );
        }
    }

    fn check_figure(&self, found: &mut Found) {
        let ladder = self.ladder();
        if self.harmony.is_some() && ladder.size() == 0 {
            found.add(
                "harmony",
                "the list is not ascending from 0 within one octave",
                "write semitones above the root, as in [0, 3, 5, 6, 7, 10]",
            );
        }
        let count = match &self.figure {
            Figure::Degrees(degrees) => {
                if self.harmony.is_none() {
                    found.add(
                        "harmony",
                        "degrees need a harmony",
                        "add a line such as harmony = \"major-triad\"",
                    );
                } else if let Some(&degree) = degrees
                    .iter()
                    .find(|&&d| ladder.rung_of_degree(d).is_none())
                    && ladder.size() > 0
                {
                    found.add(
                        "figure.degrees",
                        format!("degree {degree} is not in {}", self.harmony_name()),
                        format!(
                            "its degrees in one octave are {:?}; an octave adds 7",
                            ladder.degrees()
                        ),
                    );
                }
                if degrees.iter().any(|d| d.abs() > 60) {
                    found.add(
                        "figure.degrees",
                        "a degree beyond 60",
                        "keep degrees within -60 and 60",
                    );
                }
                degrees.len()
            }
            Figure::Intervals(semitones) => {
                if semitones.iter().any(|s| s.abs() > 48) {
                    found.add(
                        "figure.intervals",
                        "an interval wider than four octaves",
                        "write semitones from the start, -48 to 48",
                    );
                }
                if self.harmony.is_some() {
                    found.add(
                        "harmony",
                        "intervals stand by themselves",
                        "leave the harmony out, or write the figure in degrees",
                    );
                }
                semitones.len()
            }
            Figure::Partials(partials) => {
                if let Some(p) = partials.iter().find(|p| !(1..=16).contains(*p)) {
                    found.add(
                        "figure.partials",
                        format!("partial {p} is out of reach"),
                        "write partials 1 to 16",
                    );
                }
                for (field, given) in [
                    ("harmony", self.harmony.is_some()),
                    ("carry", self.carry.is_some()),
                    ("leap", self.leap.is_some()),
                ] {
                    if given {
                        found.add(
                            field,
                            "partials stand by themselves",
                            format!("leave out {field}, or write the figure in degrees"),
                        );
                    }
                }
                partials.len()
            }
        };
        if count == 0 {
            found.add("figure", "the figure has no notes", "write at least one");
        }
        if count > MAX_FIGURE {
            found.add(
                "figure",
                format!("{count} notes in a figure"),
                format!("write at most {MAX_FIGURE} and carry them on"),
            );
        }
        if let Some(Leap { semitones, root }) = self.leap {
            if semitones == 0 || semitones.abs() > 36 {
                found.add(
                    "leap.semitones",
                    format!("a leap of {semitones} semitones"),
                    "write 1 to 36, or -1 to -36",
                );
            } else if root == LeapRoot::Start
                && self.harmony.is_some()
                && ladder.rung_of_semitones(semitones).is_none()
            {
                found.add(
                    "leap.semitones",
                    format!(
                        "a leap of {semitones} semitones leaves {}",
                        self.harmony_name()
                    ),
                    "land on a note of the harmony, or add root = \"landing\"",
                );
            }
        }
    }

    fn check_travel(&self, found: &mut Found) {
        let by_length = matches!(self.travel, Travel::Lengths { .. });
        let by_partial = matches!(self.figure, Figure::Partials(_));
        if by_length != by_partial {
            found.add(
                "travel",
                "partials travel through lengths, and nothing else does",
                "write travel = { lengths = [0, 6] } with partials, { from, to, by } with degrees or intervals",
            );
        }
        match &self.travel {
            Travel::Moves { from, to, by, .. } => {
                if matches!(by, Move::Semitones(0)) {
                    found.add(
                        "travel.by",
                        "a travel by 0 semitones never arrives",
                        "write 1 to 24",
                    );
                }
                if matches!(by, Move::Semitones(n) if *n > 24) {
                    found.add(
                        "travel.by",
                        "a move wider than two octaves",
                        "write 1 to 24",
                    );
                }
                if (from.key() - to.key()).abs() > 84 {
                    found.add(
                        "travel",
                        format!("from {from} to {to} is more than seven octaves"),
                        "bring the ends nearer",
                    );
                }
            }
            Travel::Lengths {
                lengths: [from, to],
                ..
            } => {
                if *from > 24 || *to > 24 {
                    found.add(
                        "travel.lengths",
                        "a length more than 24 semitones below the open tube",
                        "write 0 for the open tube to 6 for the longest of three valves",
                    );
                }
            }
            Travel::Starts { starts, .. } => {
                if starts.is_empty() || starts.len() > 64 {
                    found.add(
                        "travel.starts",
                        format!("{} starts", starts.len()),
                        "write 1 to 64 notes",
                    );
                }
            }
        }
        let root = match &self.travel {
            Travel::Moves { root, .. } | Travel::Starts { root, .. } => *root,
            Travel::Lengths { .. } => None,
        };
        if let Travel::Moves {
            from,
            by: Move::Word(MoveWord::Harmony),
            root: Some(root),
            ..
        } = &self.travel
            && self.ladder().size() > 0
            && self
                .ladder()
                .rung_of_semitones(from.key() - root.key())
                .is_none()
        {
            found.add(
                "travel.from",
                format!("{from} is not in {} on {root}", self.harmony_name()),
                "start on one of its notes",
            );
        }
        if let (Some(root), Travel::Starts { starts, .. }, Some(_)) =
            (root, &self.travel, &self.harmony)
            && let Some(out) = starts.iter().find(|s| {
                self.ladder()
                    .rung_of_semitones(s.key() - root.key())
                    .is_none()
            })
        {
            found.add(
                "travel.starts",
                format!("{out} is not in {} on {root}", self.harmony_name()),
                "start on its notes, or leave the root out",
            );
        }
    }

    fn check_bounds(&self, found: &mut Found) {
        if let (Some(Roof::At(roof)), Some(floor)) = (self.roof, self.floor)
            && roof.key() < floor.key()
        {
            found.add(
                "roof",
                format!("the roof {roof} lies below the floor {floor}"),
                "raise the roof or lower the floor",
            );
        }
        match self.carry {
            Some(Carry::Octaves | Carry::Steps) if self.roof.is_none() => found.add(
                "roof",
                "a figure carried upward needs a roof",
                "add roof = \"player\", or a note such as \"G5\"",
            ),
            Some(Carry::OctavesDown | Carry::StepsDown) if self.floor.is_none() => found.add(
                "floor",
                "a figure carried downward needs a floor",
                "add floor = \"F#3\" or another note",
            ),
            _ => {}
        }
        if let Travel::Moves { from, to, .. } = &self.travel {
            self.check_reach(*from, *to, found);
        }
    }

    /// A travel that lies wholly outside the roof and floor leaves nothing on any instrument.
    fn check_reach(&self, from: TubePitch, to: TubePitch, found: &mut Found) {
        if let Some(Roof::At(roof)) = self.roof
            && from.key().min(to.key()) > roof.key()
        {
            found.add(
                "travel",
                format!("every line would start above the roof {roof}"),
                "lower the starts or raise the roof",
            );
        }
        if let Some(floor) = self.floor
            && from.key().max(to.key()) < floor.key()
        {
            found.add(
                "travel",
                format!("every line would start below the floor {floor}"),
                "raise the starts or lower the floor",
            );
        }
    }

    fn check_manner(&self, found: &mut Found) {
        let tempi = match self.tempo {
            Tempo::One(t) => [t, t],
            Tempo::Span(both) => both,
        };
        if let Some(bad) = tempi.iter().find(|t| !(20.0..=300.0).contains(*t)) {
            found.add(
                "tempo",
                format!("a tempo of {bad} quarter notes a minute"),
                "write 20 to 300",
            );
        }
        if self.last.as_ref().is_some_and(|v| v.rest) {
            found.add(
                "last",
                "the last value is a rest",
                "write a note value, as in 1/2",
            );
        }
        if let Slur::Groups(groups) = &self.slur
            && (groups.is_empty() || groups.contains(&0) || groups.len() > MAX_FIGURE)
        {
            found.add(
                "slur",
                "a slur group of no notes",
                "write sizes from 1, as in [2, 1, 1]",
            );
        }
        if let Marks::Cycle(list) = &self.articulation
            && (list.is_empty() || list.len() > MAX_FIGURE)
        {
            found.add("articulation", "an empty list", "write at least one mark");
        }
        if let Loudness::ByLine { lines } = &self.dynamic
            && lines.is_empty()
        {
            found.add("dynamic", "an empty list", "write at least one dynamic");
        }
        if !(1..=8).contains(&self.repeats) {
            found.add(
                "repeats",
                format!("{} repeats", self.repeats),
                "write 1 to 8",
            );
        }
        match self.rest {
            Rest::Times { times } if !(0.0..=10.0).contains(&times) => {
                found.add(
                    "rest.times",
                    format!("{times} times the playing"),
                    "write 0 to 10",
                );
            }
            Rest::Beats { beats } if beats > 1000 => {
                found.add("rest.beats", format!("{beats} beats"), "write 0 to 1000");
            }
            _ => {}
        }
        if matches!(self.breath, super::Breath::Notes(0)) {
            found.add(
                "breath",
                "a breath after no notes",
                "write 1 to 255, or \"auto\"",
            );
        }
    }

    fn harmony_name(&self) -> String {
        self.harmony.as_ref().map_or_else(
            || "the chromatic scale".to_owned(),
            super::Harmony::describe,
        )
    }
}

struct Found(Vec<Problem>);

impl Found {
    fn add(&mut self, field: &'static str, message: impl Into<String>, help: impl Into<String>) {
        self.0.push(Problem {
            field,
            message: message.into(),
            help: help.into(),
        });
    }
}

fn short(text: &str) -> String {
    text.chars().take(40).collect()
}
