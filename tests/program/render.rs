//! `panfold render`: what goes together, what doesn't, and what is written.

use std::fs;

use super::{run, says, small};

#[test]
fn midi_and_sound_in_one_go() {
    let folder = small();
    let done = run(folder.path(), "render jam.tune --midi jam.mid --sound jam.wav");
    assert_eq!((done.code, done.out.as_str()), (Some(0), ""));
    assert!(done.err.starts_with("wrote jam.mid: 2 s\nwrote jam.wav: "), "{}", done.err);
    assert!(fs::read(folder.path().join("jam.mid")).expect("a file").starts_with(b"MThd"));
    assert!(fs::read(folder.path().join("jam.wav")).expect("a file").starts_with(b"RIFF"));
    assert_eq!(run(folder.path(), "render jam.tune --sound jam.FLAC --part lead --mix loud --pan Lead").code, Some(0));
    assert!(fs::read(folder.path().join("jam.FLAC")).expect("a file").starts_with(b"fLaC"));
}

#[test]
fn the_same_bytes_every_time() {
    let folder = small();
    let render = |name: &str, threads: &str| {
        let arguments = format!("render jam.tune --sound {name}.wav --midi {name}.mid");
        let mut command = super::program(folder.path());
        command.args(arguments.split(' ')).env("RAYON_NUM_THREADS", threads);
        assert!(command.output().expect("it runs").status.success());
        ["wav", "mid"].map(|ending| fs::read(folder.path().join(format!("{name}.{ending}"))).expect("a file"))
    };
    assert_eq!(render("one", "1"), render("two", "3"));
}

#[test]
fn choices_that_cannot_be() {
    let folder = small();
    for (arguments, said) in [
        ("--sound jam.ogg", "let the name end in `.mp3`, `.flac` or `.wav`"),
        ("--json --part laed", "did you mean `lead`?"),
        ("--json --part piano", "its parts are `lead`, `bass`, and `iron`"),
        ("--json --section vers", "did you mean `verse`?"),
        ("--json --mix alone", "`--part PART` is missing"),
        ("--json --part lead --part bass --mix alone", "`--mix` is about one part"),
        ("--json --part lead --pan Led", "did you mean `Lead`?"),
        ("--json --part lead --pan Six", "it is played by `Lead`"),
        ("--json --part iron --pan Lead", "`iron` is percussion and has no pan"),
        ("--json --tempo 5", "expected from 10 to 400 beats a minute"),
        ("--json --tempo 5%", "expected from 10 to 400 percent"),
        ("--json --tempo fast", "expected from 10 to 400 beats a minute"),
        ("--sound jam.wav --rate 10", "expected from 22050 to 192000 samples a second"),
        ("--sound jam.mp3 --rate 96000", "give `22050`, `24000`, `32000`, `44100`, or `48000` to `--rate`"),
        ("--sound jam.mp3 --bits 24", "`--bits` is for FLAC and WAV"),
        ("--midi nowhere/jam.mid", "its folder is not there"),
        ("--midi .", "`.` is a folder"),
    ] {
        let done = run(folder.path(), &format!("render jam.tune {arguments}"));
        assert_eq!(done.code, Some(2), "{arguments}: {}", done.err);
        let (told, other) = if arguments.contains("--json") { (&done.out, &done.err) } else { (&done.err, &done.out) };
        assert!(told.contains(said), "{arguments}: {told}");
        assert_eq!(other, "", "{arguments}");
    }
    assert_eq!(super::listing(folder.path()), ["band.toml", "jam.tune"]);
}

#[test]
fn a_tune_with_mistakes_is_not_played() {
    let as_json = run(super::here("broken/tunes"), "render unknown-note.tune --json");
    assert_eq!((as_json.code, as_json.json()["errors"][0]["kind"].as_str()), (Some(2), Some("wrong-cell")));
    let done = run(super::here("broken/tunes"), "render unknown-note.tune --midi never.mid");
    assert_eq!((done.code, done.out.as_str()), (Some(2), ""));
    insta::assert_snapshot!(done.err, @r"
    unknown-note.tune, line 11: bar 1 of verse, lead (problem: wrong-cell)
        lead | D5 . H4 . |
                    └┘
      There is no note `H4`: notes run from A to G.
      Did you mean `B4`?

    Problem: `unknown-note.tune` can't be played: there is 1 problem above. (not-understood)
      try: fix the problems above, then try again
    ");
}

#[test]
fn mp3_has_tags_and_as_many_samples_as_wav() {
    let folder = super::small();
    for rate in [22_050, 24_000, 32_000, 44_100, 48_000] {
        for file in ["a.mp3", "a.wav"] {
            let done = super::run(&folder, &format!("render jam.tune --sound {file} --rate {rate} --part lead"));
            assert_eq!(done.code, Some(0), "{}", done.err);
        }
        let bytes = std::fs::read(folder.path().join("a.mp3")).expect("the file");
        assert!(bytes.starts_with(b"ID3\x04"), "{:?}", &bytes[..4]);
        let tags = String::from_utf8_lossy(&bytes[..400]);
        for said in ["TSSE", "panfold", "TIT2", "Jam", "CHAP", "CTOC", "verse"] {
            assert!(tags.contains(said), "{said}: {tags}");
        }
        // After the tags a frame begins with eleven bits set (ISO/IEC 11172-3, 2.4.1.3).
        let size = bytes[6..10].iter().fold(0usize, |size, byte| size << 7 | usize::from(*byte));
        let frames = &bytes[10 + size..];
        assert!(frames[0] == 0xff && frames[1] >= 0xe0, "{:02x?}", &frames[..4]);
        // How many frames follow, and how many samples of them are no sound: 12 bits each before and after (the encoder's tag).
        let at = frames.windows(4).position(|bytes| bytes == b"Info").expect("a first frame that says it");
        let number = |at: usize| u64::from(u32::from_be_bytes(frames[at..at + 4].try_into().expect("four bytes")));
        let of_frame = if rate < 32_000 { 576 } else { 1152 };
        let beside = number(at + 140) & 0xff_ffff;
        let wav = samples(&folder.path().join("a.wav"));
        assert_eq!(number(at + 8) * of_frame - (beside >> 12) - (beside & 0xfff), wav, "at {rate}");
    }
}

/// How many samples each channel of a WAV file has.
fn samples(path: &std::path::Path) -> u64 {
    u64::from(hound::WavReader::open(path).expect("a file").duration())
}

#[test]
fn nothing_to_write_is_answered_with_what_can_be_written() {
    let folder = super::small();
    let done = super::run(&folder, "render jam.tune");
    assert_eq!((done.code, done.out.as_str()), (Some(2), ""));
    for said in [
        "say what to write: sound, MIDI, or both",
        "`panfold render jam.tune --sound jam.mp3`",
        "`panfold render jam.tune --midi jam.mid`",
    ] {
        assert!(says(&done.err, said), "{}", done.err);
    }
    assert_eq!(super::run(&folder, "render jam.tune --midi jam.mid").code, Some(0));
}
