//! The live path: no allocation after start-up, and the results of the file path.

use ear::live::Live;
use ear::{Settings, hear};

mod support;
use support::takes;

#[test]
fn live_allocates_nothing_and_agrees_with_the_file_path() {
    let take = takes::tongued(31);
    let low = take.expected.lowest_hz().unwrap();
    for (lowest_hz, most_s) in [(0.0, 0.060), (low, 0.060), (1e9, 0.035)] {
        agrees(&take, lowest_hz, most_s);
    }
}

fn agrees(take: &takes::Take, lowest_hz: f64, most_s: f64) {
    let samples = take.samples();
    let heard = hear(&samples, Some(&take.expected), &Settings::default());
    let mut live = Live::new(samples.rate, 512, Some(&take.expected)).waiting_for(lowest_hz);
    assert!(live.delay_s() <= most_s);
    let (mut same, mut apart, mut placed, mut sounding) = (0, 0, 0_u32, 0);
    let mut used = 0;
    for block in samples.data.chunks(512) {
        let count = allocation_counter::measure(|| {
            live.push(block, |moment| {
                let Some(frame) = heard.track.at(moment.at_s) else {
                    return;
                };
                if frame.sounds() && moment.hz > 0.0 && frame.hz > 100.0 {
                    let away = 1200.0 * (moment.hz / frame.hz).log2();
                    if away.abs() < 2.0 {
                        same += 1;
                    } else {
                        apart += 1;
                    }
                }
                if frame.sounds() {
                    sounding += 1;
                    placed += u32::from(moment.place.is_some());
                }
            });
        });
        used += count.count_total;
    }
    assert_eq!(used, 0, "allocations while live");
    assert!(
        f64::from(same) / f64::from(same + apart) > 0.97,
        "{same} same, {apart} apart"
    );
    assert!(
        f64::from(placed) / f64::from(sounding) > 0.9,
        "{placed} of {sounding} placed"
    );
}
