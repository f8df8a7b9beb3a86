//! Which accidentals stand before the noteheads.
//!
//! With barlines a sign holds to the end of its bar, and a note that goes back to the key in the
//! next bar gets a reminder. Without barlines a sign holds for its own note and immediate
//! repeats, so every altered note carries one. (Common practice, no source.)

use std::collections::HashMap;

use tone::KeySignature;

use super::Bar;

/// Letters in the order that sharps are added, as staff steps above C.
const SHARPS: [i32; 7] = [3, 0, 4, 1, 5, 2, 6];

/// What the signature makes of a staff step.
fn of_key(key: KeySignature, step: i32) -> i8 {
    let letter = step.rem_euclid(7);
    let place = SHARPS.iter().position(|&sharp| sharp == letter);
    let place = place.map_or(0, |p| p as i8);
    if key.0 > place {
        1
    } else if key.0 < 0 && 7 + key.0 <= place {
        -1
    } else {
        0
    }
}

/// Sets the accidental of every first piece of a note, and tells it to the pieces tied to it.
pub(super) fn mark(bars: &mut [Bar<'_>], key: KeySignature, metered: bool) {
    let mut earlier: HashMap<i32, i8> = HashMap::new();
    let mut last: Option<(i32, i8)> = None;
    let mut sign: Option<i8> = None;
    for bar in bars {
        let mut now: HashMap<i32, i8> = HashMap::new();
        for head in bar.symbols.iter_mut().filter_map(|s| s.head.as_mut()) {
            if head.piece > 0 {
                head.carried = sign;
                continue;
            }
            let pitch = head.note.written.0;
            let (step, alter) = (pitch.staff_step(), pitch.alter);
            let keyed = of_key(key, step);
            let needed = if metered {
                match now.get(&step) {
                    Some(&standing) => standing != alter,
                    None => alter != keyed || earlier.get(&step).is_some_and(|&was| was != alter),
                }
            } else {
                let returned = alter == keyed && earlier.get(&step).is_some_and(|&w| w != alter);
                (alter != keyed && last != Some((step, alter))) || returned
            };
            head.accidental = needed.then_some(alter);
            sign = head.accidental;
            last = Some((step, alter));
            now.insert(step, alter);
            if !metered {
                earlier.insert(step, alter);
            }
        }
        if metered {
            earlier = now;
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn signatures_alter_the_usual_letters() {
        // D major: F and C sharp; E-flat major: B, E, A flat. Steps: C0 = 0.
        let altered =
            |fifths| -> Vec<i8> { (0..7).map(|s| of_key(KeySignature(fifths), s)).collect() };
        assert_eq!(altered(2), [1, 0, 0, 1, 0, 0, 0]);
        assert_eq!(altered(-3), [0, 0, -1, 0, 0, -1, -1]);
        assert_eq!(altered(7), [1; 7]);
        assert_eq!(altered(-7), [-1; 7]);
        assert_eq!(altered(0), [0; 7]);
    }
}
