//! Who else has a note that is missing: other pans of the band, never one that plays the part itself.

use super::missing::missing;
use crate::kit::tune;

#[test]
fn the_parts_own_pans_are_not_named_as_others() {
    // Two leads play the part; E6 is on the one that begins at D4, and on the double tenor, which is made to have it.
    let band = "name = \"B\"\n[[pan]]\nname = \"Red rim\"\nlayout = \"lead-c\"\nwithout = [\"E6\"]\n\
                [[pan]]\nname = \"Blue rim\"\nlayout = \"lead-d\"\n\
                [[pan]]\nname = \"Tenors\"\nkind = \"double-tenor\"\ndrums = [{ outer = \"E5 E6\" }]\n";
    let of = |band: &str| {
        let findings = missing(&tune(band, "part lead on lead\nsection a\n lead | E6 |\n"));
        assert_eq!(findings.len(), 1, "{findings:?}");
        findings[0]
            .help
            .iter()
            .filter(|help| help.ends_with("has it") || help.ends_with("have it"))
            .cloned()
            .collect::<Vec<_>>()
    };
    assert_eq!(of(band), ["or use another pan: `Tenors` (double-tenor) has it"]);
    let without = &band[..band.find("[[pan]]\nname = \"Tenors\"").expect("the third pan")];
    assert_eq!(of(without), Vec::<String>::new());
}
