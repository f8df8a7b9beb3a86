//! Lines that ask for the same, and lines that begin at the pitch where the one before ended: each is heard as its own,
//! dry and where the hall still sounds with the old one.

mod support;

use ear::{Samples, Settings, hear};
use support::random::Random;
use support::rooms::{add_noise, echo};
use support::takes::{Builder, HALL, Link, Manner, TROMBONE, Take};

const TUBE_HZ: f64 = 58.27;

/// Lines of partials as asked for, and as played: which line, and how many of its notes.
fn played(asked: &[&[u8]], played: &[(usize, usize)]) -> Take {
    let how = Manner {
        timbre: TROMBONE,
        vibrato_cents: 4.0,
        vibrato_hz: 5.5,
        scoop_cents: 0.0,
        release_s: 0.07,
    };
    let mut b = Builder::new(71);
    b.silence(0.4);
    for (line, count) in played {
        let partials = &asked[*line][..*count];
        let notes: Vec<_> = (1..)
            .zip(partials)
            .map(|(next, partial)| {
                let goes_on = next < *count;
                let hz = TUBE_HZ * f64::from(*partial);
                (hz, 0.4, goes_on.then_some(Link::Clean(0.03, None)))
            })
            .collect();
        b.phrase(&notes, how);
        b.silence(0.3);
    }
    for partials in asked {
        let notes: Vec<_> = partials
            .iter()
            .map(|partial| (TUBE_HZ * f64::from(*partial), 0.4, *partial))
            .collect();
        b.expect(&notes, TUBE_HZ, true);
    }
    b.done().0
}

/// The line, note and pass of every note that is heard.
fn places(take: &Take, samples: &Samples) -> Vec<(usize, usize, usize)> {
    let heard = hear(samples, Some(&take.expected), &Settings::default());
    let places = heard.notes.iter().filter_map(|note| note.place);
    places.map(|p| (p.line, p.note, p.pass)).collect()
}

fn in_hall(take: &Take) -> Samples {
    let mut random = Random::new(72);
    let on: Vec<bool> = take.hz.iter().map(|hz| *hz > 0.0).collect();
    let wet = echo(&take.sound, HALL.0, HALL.1, &mut random);
    let sound = add_noise(&wet, &on, 45.0, &mut random);
    Take {
        sound,
        ..take.clone()
    }
    .samples()
}

#[test]
fn of_equal_lines_each_is_heard_in_its_turn() {
    let a: &[u8] = &[4, 5, 6];
    let b: &[u8] = &[6, 5, 4];
    let take = played(&[a, a, b, a], &[(0, 3), (1, 3), (2, 3), (3, 3)]);
    let whole = [0, 1, 2, 3].map(|line| [0, 1, 2].map(|note| (line, note, 0)));
    assert_eq!(places(&take, &take.samples()), whole.concat());
}

#[test]
fn a_line_left_unfinished_is_begun_again_before_its_equal() {
    let a: &[u8] = &[4, 5, 6, 8];
    let take = played(&[a, a], &[(0, 2), (0, 4), (1, 4)]);
    let begun = vec![(0, 0, 0), (0, 1, 0)];
    let again = (0..4).map(|note| (0, note, 1));
    let next = (0..4).map(|note| (1, note, 0));
    let all: Vec<_> = begun.into_iter().chain(again).chain(next).collect();
    assert_eq!(places(&take, &take.samples()), all);
}

#[test]
fn a_note_played_again_in_a_hall_is_its_own() {
    let up: &[u8] = &[4, 5, 6, 5, 4, 6];
    for partial in [2_u8, 4, 6] {
        let note: &[u8] = &[partial];
        let take = played(&[up, note, note, note], &[(0, 6), (1, 1), (2, 1), (3, 1)]);
        let first = (0..6).map(|note| (0, note, 0));
        let again = (1..4).map(|line| (line, 0, 0));
        let whole: Vec<_> = first.chain(again).collect();
        assert_eq!(places(&take, &in_hall(&take)), whole, "partial {partial}");
    }
}

#[test]
fn a_line_that_begins_where_the_last_one_ended_is_heard_in_a_hall() {
    let up: &[u8] = &[4, 5, 6];
    let down: &[u8] = &[6, 5, 4];
    let take = played(&[up, down], &[(0, 3), (1, 3)]);
    let whole = [0, 1].map(|line| [0, 1, 2].map(|note| (line, note, 0)));
    assert_eq!(places(&take, &in_hall(&take)), whole.concat());
}
