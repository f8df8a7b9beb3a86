//! Files of every kind made here, whole, damaged and lying.

use proptest::prelude::*;

use super::*;

fn tone(rate: u32, seconds: f64, hz: f64) -> Vec<f32> {
    let count = (f64::from(rate) * seconds) as usize;
    (0..count)
        .map(|n| 0.4 * (std::f64::consts::TAU * hz * n as f64 / f64::from(rate)).sin() as f32)
        .collect()
}

fn wav(rate: u32, channels: u16, bits: u16, samples: &[f32]) -> Vec<u8> {
    let float = bits == 32;
    let spec = hound::WavSpec {
        channels,
        sample_rate: rate,
        bits_per_sample: bits,
        sample_format: if float {
            hound::SampleFormat::Float
        } else {
            hound::SampleFormat::Int
        },
    };
    let mut bytes = std::io::Cursor::new(Vec::new());
    let mut writer = hound::WavWriter::new(&mut bytes, spec).unwrap();
    for x in samples {
        if float {
            writer.write_sample(*x).unwrap();
        } else {
            let full = f32::from(2_u8).powi(i32::from(bits) - 1) - 1.0;
            writer.write_sample((x * full).round() as i32).unwrap();
        }
    }
    writer.finalize().unwrap();
    bytes.into_inner()
}

fn read(bytes: &[u8]) -> Input {
    from_bytes(bytes, &Options::default()).unwrap()
}

#[test]
fn wav_of_any_rate_depth_and_channels_gives_the_same_sound() {
    let expected = tone(44_100, 1.0, 440.0);
    for (rate, channels, bits) in [
        (8_000, 1, 16),
        (22_050, 2, 8),
        (44_100, 1, 16),
        (48_000, 2, 24),
        (96_000, 6, 24),
        (192_000, 1, 32),
    ] {
        let mono = tone(rate, 1.0, 440.0);
        let frames: Vec<f32> = mono
            .iter()
            .flat_map(|x| std::iter::repeat_n(*x, usize::from(channels)))
            .collect();
        let input = read(&wav(rate, channels, bits, &frames));
        assert_eq!(input.source.rate, rate);
        assert_eq!(input.source.channels, usize::from(channels));
        assert_eq!(input.samples.data.len(), expected.len());
        let tolerance = if bits == 8 { 0.02 } else { 0.004 };
        let worst = (2_000..42_000)
            .map(|n| (input.samples.data[n] - expected[n]).abs())
            .fold(0.0, f32::max);
        assert!(worst < tolerance, "{rate} {channels} {bits}: {worst}");
        assert!(input.faults.is_empty(), "{:?}", input.faults);
    }
}

#[test]
fn what_is_no_sound_is_named() {
    let said = |bytes: &[u8]| from_bytes(bytes, &Options::default()).unwrap_err();
    assert_eq!(said(b""), InputError::Empty);
    for (bytes, word) in [
        (&b"This is a letter, not a take. ".repeat(400)[..], "text"),
        (b"MThd\0\0\0\x06\0\0\0\x01\x01\xe0MTrk", "MIDI"),
        (b"%PDF-1.7 ...", "PDF"),
        (b"<?xml version='1.0'?><score-partwise/>", "XML"),
        (&[7_u8; 3_000][..], "no kind of file"),
    ] {
        let options = Options {
            extension: Some("wav".into()),
            ..Options::default()
        };
        let error = from_bytes(bytes, &options).unwrap_err();
        assert!(error.to_string().contains(word), "{error}");
    }
}

#[test]
fn a_wav_without_samples_is_an_error() {
    let error = from_bytes(&wav(44_100, 1, 16, &[]), &Options::default()).unwrap_err();
    assert!(matches!(error, InputError::NoSamples { .. }), "{error}");
}

#[test]
fn rates_out_of_bounds_are_errors() {
    for rate in [1_000, 384_000] {
        let error = from_bytes(&wav(rate, 1, 16, &[0.1; 400]), &Options::default()).unwrap_err();
        assert_eq!(error, InputError::Rate { rate });
    }
}

#[test]
fn a_take_over_the_limit_is_refused_with_the_limit() {
    let options = Options {
        longest_s: 2.0,
        ..Options::default()
    };
    let error = from_bytes(&wav(8_000, 1, 16, &tone(8_000, 2.5, 300.0)), &options).unwrap_err();
    assert_eq!(error, InputError::TooLong { limit_s: 2.0 });
}

#[test]
fn a_file_cut_in_the_middle_is_read_and_reported() {
    let bytes = wav(44_100, 1, 16, &tone(44_100, 2.0, 440.0));
    let input = read(&bytes[..bytes.len() / 2]);
    assert!((input.source.seconds - 1.0).abs() < 0.05);
    assert!(
        input.faults.iter().any(|f| matches!(f.kind, FaultKind::CutShort { missing_s } if (missing_s - 1.0).abs() < 0.05)),
        "{:?}",
        input.faults
    );
}

#[test]
fn numbers_that_are_none_become_silence_and_a_fault() {
    let mut samples = tone(44_100, 0.5, 440.0);
    samples[1_000] = f32::NAN;
    samples[1_001] = f32::INFINITY;
    samples[1_002] = 1e30;
    let input = read(&wav(44_100, 1, 32, &samples));
    assert!(input.samples.data.iter().all(|x| x.abs() < 1.0));
    assert!(
        input
            .faults
            .iter()
            .any(|f| f.kind == FaultKind::NotNumbers { count: 3 })
    );
}

#[test]
fn hum_is_found_between_notes_only_when_it_is_there() {
    for mains in [None, Some(50.0), Some(60.0)] {
        let mut noise = 1_u32;
        let samples: Vec<f32> = (0..8 * 44_100)
            .map(|n| {
                let t = f64::from(n) / 44_100.0;
                noise = noise.wrapping_mul(1_664_525).wrapping_add(1_013_904_223);
                let hiss = f64::from(noise >> 8) / f64::from(1 << 24) - 0.5;
                let note = if t % 4.0 < 2.0 { 0.3 } else { 0.0 };
                let wave = |hz: f64| (std::f64::consts::TAU * hz * t).sin();
                let hum = mains.map_or(0.0, |m| {
                    0.001 * wave(m) + 0.0008 * wave(2.0 * m) + 0.0005 * wave(3.0 * m)
                });
                (note * wave(49.0) + hum + 0.0005 * hiss) as f32
            })
            .collect();
        let input = read(&wav(44_100, 1, 24, &samples));
        let found = input.faults.iter().find_map(|f| match f.kind {
            FaultKind::Hum { mains_hz, level_db } => Some((mains_hz, level_db)),
            _ => None,
        });
        assert_eq!(found.map(|f| f.0), mains);
        if let Some((_, level_db)) = found {
            // Sum of three lines: 10 log10((1 + .64 + .25) * 1e-6 / 2) = -60.2 dB.
            assert!((level_db + 60.2).abs() < 0.5, "{level_db}");
        }
    }
}

#[test]
fn silence_clipping_offset_and_a_lying_rate_are_reported() {
    let kinds = |bytes: &[u8], options: &Options| {
        let input = from_bytes(bytes, options).unwrap();
        let words: Vec<String> = input
            .faults
            .iter()
            .map(|f| format!("{:?}", f.kind))
            .collect();
        words.join(" ")
    };
    let plain = Options::default();
    let silent = kinds(&wav(44_100, 1, 16, &[0.0; 44_100]), &plain);
    assert!(silent.contains("NearSilent"), "{silent}");
    let loud: Vec<f32> = tone(44_100, 1.0, 233.0)
        .iter()
        .map(|x| (x * 4.0).clamp(-0.9, 0.9))
        .collect();
    assert!(kinds(&wav(44_100, 1, 16, &loud), &plain).contains("Clipped"));
    let offset: Vec<f32> = tone(44_100, 1.0, 233.0).iter().map(|x| x + 0.1).collect();
    assert!(kinds(&wav(44_100, 1, 16, &offset), &plain).contains("Offset"));
    let said = Options {
        said_rate: Some(48_000),
        ..Options::default()
    };
    let lying = kinds(&wav(44_100, 1, 16, &tone(44_100, 1.0, 233.0)), &said);
    assert!(
        lying.contains("RateDiffers { said: 48000, file: 44100 }"),
        "{lying}"
    );
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 96, ..ProptestConfig::default() })]

    /// Any bytes at all: an error or a take, never a panic (one inside a decoder is caught).
    #[test]
    fn any_bytes(bytes in proptest::collection::vec(any::<u8>(), 0..4_000)) {
        let _ = from_bytes(&bytes, &Options::default());
    }

    /// A good head with anything behind it.
    #[test]
    fn any_bytes_behind_a_head(
        head in 0..6_usize,
        bytes in proptest::collection::vec(any::<u8>(), 0..4_000),
    ) {
        const HEADS: [&[u8]; 6] = [
            b"RIFF\xff\xff\0\0WAVEfmt \x10\0\0\0\x01\0\x02\0\x44\xac\0\0\x10\xb1\x02\0\x04\0\x10\0data\xff\xff\0\0",
            b"fLaC\0\0\0\x22",
            b"OggS\0\x02\0\0\0\0\0\0\0\0",
            b"FORM\0\0\xff\xffAIFFCOMM",
            b"\xff\xfb\x90\x64",
            b"\0\0\0\x20ftypM4A \0\0\0\0",
        ];
        let mut file = HEADS[head].to_vec();
        file.extend(bytes);
        let _ = from_bytes(&file, &Options::default());
    }

    /// A real file with some bytes changed and its end cut.
    #[test]
    fn damaged_wav(
        at in proptest::collection::vec((0..4_000_usize, any::<u8>()), 0..12),
        cut in 0..4_000_usize,
    ) {
        let mut bytes = wav(8_000, 2, 16, &tone(8_000, 0.2, 300.0));
        for (place, value) in at {
            if let Some(byte) = bytes.get_mut(place) {
                *byte = value;
            }
        }
        bytes.truncate(cut);
        let _ = from_bytes(&bytes, &Options::default());
    }
}
