//! Pans drawn: what can be found in a drawing, what is marked, what is said.

use super::captions::captions;
use super::face::{Options, Stick, face};
use super::ink::Theme;
use super::look::State;
use super::svg;
use crate::music::{Cents, Pitch};
use crate::pan::layout;

fn pitch(name: &str) -> Pitch {
    name.parse().expect("a pitch")
}

#[test]
fn every_note_can_be_found_by_its_key_and_drum() {
    let pan = layout("double-second").expect("a layout");
    let text = svg::element(&face(pan, &Options::default()));
    for (drum, note) in pan.notes() {
        let key = note.pitch.key();
        let tag = format!("<g class=\"note\" id=\"note-{key}\" data-key=\"{key}\" data-drum=\"{drum}\">");
        assert_eq!(text.matches(&tag).count(), 1, "{}", note.name);
    }
}

#[test]
fn what_is_weak_is_said() {
    let said = |name: &str| face(layout(name).expect("a layout"), &Options::default()).description;
    assert!(!said("lead-c").contains("sketch"));
    assert!(said("six-bass").contains("sketch only: your pan may differ; go by your own pan"));
    assert!(said("nine-bass").contains("sketch only: your pan may have its notes on other drums"));
    assert!(said("ping-pong").contains("the notes are a reconstruction"));
    assert!(said("double-tenor").contains("not sure which notes share a drum: go by your own pan"));
}

#[test]
fn dead_missing_and_mistuned_notes_are_marked() {
    let mut pan = layout("lead-c").expect("a layout").clone();
    let dead = pan.drums[0].notes.remove(0);
    pan.drums[0].dead.push(dead);
    pan.drums[0].notes[0].cents = Cents(-14.0);
    let options = Options { wanted: vec![pitch("C4"), pitch("F4"), pitch("F6")], ..Options::default() };
    let text = svg::element(&face(&pan, &options));
    assert!(text.contains("<g class=\"note absent\" id=\"note-60\" data-key=\"60\" data-drum=\"0\">"), "dead");
    assert!(text.contains("<g class=\"note absent\" id=\"note-89\" data-key=\"89\">"), "missing");
    assert!(text.contains("<g class=\"note off\" id=\"note-65\""), "mistuned");
    assert!(text.contains("<title>F4: -14 cents off</title>") && text.contains(">-14</text>"));
    assert_eq!(text.matches("class=\"note absent\"").count(), 2);
}

/// How wide the dark rim round a note is, in mm, from the radii that are drawn.
fn rim(text: &str, key: u8) -> f64 {
    let radius = |class: &str, shape: &str| {
        let (head, key) = (format!("<g class=\"{class}\""), format!("data-key=\"{key}\""));
        let mut groups = text.split(&head).skip(1).filter(|group| group.split('>').next().unwrap_or("").contains(&key));
        let group = groups.next().expect("the group");
        let drawn = group.split(&format!("class=\"{shape}\"")).nth(1).expect("a shape");
        let value = drawn.split("rx=\"").nth(1).expect("a radius").split('"').next().expect("its end");
        value.parse::<f64>().expect("a number")
    };
    radius("rim", "often") - radius("note", "area")
}

#[test]
fn what_is_struck_more_often_has_a_wider_rim() {
    let pan = layout("lead-c").expect("a layout");
    let struck = [("C4", 10), ("F4", 50), ("G4", 100), ("F6", 7)].map(|(name, times)| (pitch(name), times)).into();
    let text = svg::element(&face(pan, &Options { struck, wanted: vec![pitch("F6")], ..Options::default() }));
    assert_eq!(text.matches("class=\"often\"").count(), 3);
    let rims = ["C4", "F4", "G4"].map(|name| rim(&text, pitch(name).key()));
    for (found, expected) in rims.into_iter().zip([2.7, 5.5, 9.0]) {
        assert!((found - expected).abs() < 0.02, "{rims:?}");
    }
    for title in ["G4, struck 100 times", "F6: not on this pan, struck 7 times"] {
        assert!(text.contains(&format!("<title>{title}</title>")), "{title}");
    }
    assert!(text.contains(">100</text>") && text.contains("dark rim and number"));
    // A name is as large as it is where nothing is struck.
    let size = |text: &str| {
        let note = text.split("id=\"note-67\"").nth(1).expect("the note");
        note.split("font-size=\"").nth(1).expect("a size").split('"').next().expect("its end").to_owned()
    };
    let one = Options { struck: [(pitch("G4"), 1)].into(), ..Options::default() };
    let most = Options { struck: [(pitch("G4"), 1), (pitch("C4"), 9)].into(), ..Options::default() };
    assert_eq!(size(&svg::element(&face(pan, &one))), size(&svg::element(&face(pan, &most))));
}

#[test]
fn a_note_without_a_place_is_said() {
    let mut pan = layout("lead-c").expect("a layout").clone();
    pan.drums[0].notes[5].angle = None;
    let said = captions(&pan, &Options::default());
    assert_eq!(said, ["under the drums: notes whose place is not known"]);
}

#[test]
fn names_of_pans_are_text() {
    let mut pan = layout("lead-c").expect("a layout").clone();
    pan.name = "<script>alert(1)</script> \"R&B\"".to_owned();
    let text = svg::file(&face(&pan, &Options::default()), Theme::Dark);
    assert!(!text.contains("<script"));
    assert!(text.contains("&lt;script&gt;alert(1)&lt;/script&gt; &quot;R&amp;B&quot;"));
}

/// A pan of which only the notes are known, as a file.
#[test]
fn a_small_pan_as_svg() {
    let mut pan = layout("lead-c").expect("a layout").clone();
    (pan.name, pan.title) = ("first pan".to_owned(), String::new());
    pan.drums[0].notes.truncate(2);
    pan.drums[0].notes.iter_mut().for_each(|note| note.angle = None);
    let lit = vec![(pitch("F4"), State::Next, Some(Stick::R))];
    let text = svg::element(&face(&pan, &Options { lit, ..Options::default() }));
    insta::assert_snapshot!(text, @r#"
    <svg xmlns="http://www.w3.org/2000/svg" class="panfold" role="img" viewBox="-240 -499.75 480 179.3">
    <title>first pan (lead)</title>
    <desc>C4 F4. where the notes lie is not known: they are drawn in rising rows, the lowest nearest to you</desc>
    <rect class="drum" x="-92" y="-477.75" width="184" height="84" rx="20"/>
    <g class="note" id="note-60" data-key="60" data-drum="0">
    <title>C4</title>
    <rect class="area" x="-81" y="-465.75" width="76" height="60" rx="14"/>
    <text class="name" x="-43" y="-425.69" font-size="27.94" text-anchor="middle">C<tspan class="small">4</tspan></text>
    <text class="stick" x="-43" y="-410.6" font-size="16.21" text-anchor="middle"></text>
    </g>
    <g class="note next" id="note-65" data-key="65" data-drum="0">
    <title>F4</title>
    <rect class="area" x="5" y="-465.75" width="76" height="60" rx="14"/>
    <text class="name" x="43" y="-425.69" font-size="27.94" text-anchor="middle">F<tspan class="small">4</tspan></text>
    <text class="stick" x="43" y="-410.6" font-size="16.21" text-anchor="middle">R</text>
    </g>
    <text class="caption" x="-218" y="-351.8" font-size="19">where the notes lie is not known: they are drawn</text>
    <text class="caption" x="-218" y="-326.15" font-size="19">in rising rows, the lowest nearest to you</text>
    </svg>
    "#);
}
