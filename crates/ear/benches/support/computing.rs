//! Computing time as a measurement: other work on the machine does not count.

use std::time::Duration;

use cpu_time::ProcessTime;
use criterion::measurement::{Measurement, ValueFormatter, WallTime};

/// Seconds of computing.
pub(crate) struct Computing;

impl Measurement for Computing {
    type Intermediate = ProcessTime;
    type Value = Duration;

    fn start(&self) -> ProcessTime {
        ProcessTime::now()
    }

    fn end(&self, start: ProcessTime) -> Duration {
        start.elapsed()
    }

    fn add(&self, a: &Duration, b: &Duration) -> Duration {
        *a + *b
    }

    fn zero(&self) -> Duration {
        Duration::ZERO
    }

    fn to_f64(&self, value: &Duration) -> f64 {
        WallTime.to_f64(value)
    }

    fn formatter(&self) -> &dyn ValueFormatter {
        static TIME: WallTime = WallTime;
        TIME.formatter()
    }
}
