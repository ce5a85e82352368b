//! Words that make no command are answered as everything else is: what is wrong, and what to do.

use super::{run, says, small};

#[test]
fn each_is_said_with_what_to_do() {
    let folder = small();
    for (words, what, help) in [
        ("page jam.tune", "`--part PART` is missing", "for example `panfold page sea-grape-road.tune --part lead`"),
        ("sticks --part lead", "`TUNE` is missing", "for example `panfold sticks sea-grape-road.tune --part lead`"),
        ("drill jam.tune --part lead --kind lop", "`lop` is not a choice for `--kind KIND`", "did you mean `loop`?"),
        ("drill jam.tune --part lead --kind zz", "`zz` is not a choice", "choose `loop`, `ladder`, `echo`, or `chain`"),
        ("drill jam.tune --part lead --kind", "a value is missing after `--kind KIND`", "choose `loop`"),
        (
            "sticks jam.tune --part lead --level pro",
            "choose beginner",
            "`panfold sticks --help` shows all that it takes",
        ),
        ("check jam.tune --tolerence 3", "there is no option `--tolerence`", "did you mean `--tolerance`?"),
        ("check jam.tune --zzz", "there is no option `--zzz`", "`panfold check --help` shows all that it takes"),
        ("chek jam.tune", "there is no command `chek`", "did you mean `check`?"),
        ("zzz", "there is no command `zzz`", "`panfold --help` lists the commands"),
        ("start one two", "`two` is one word too many", "`panfold start --help` shows all that it takes"),
        (
            "cover jam.tune --kind lead --beside x",
            "can't be used together",
            "`panfold cover --help` shows all that it takes",
        ),
        ("fit jam.tune --part lead --part bass", "`--part PART` can be given only once", "`panfold fit --help`"),
    ] {
        let done = run(&folder, words);
        assert_eq!((done.code, done.out.as_str()), (Some(2), ""), "{words}");
        assert!(says(&done.err, what) && says(&done.err, help), "{words}: {}", done.err);
        for of_a_compiler in ["error:", "Usage:", "For more information", "<"] {
            assert!(!done.err.contains(of_a_compiler), "{words}: {}", done.err);
        }
    }
}

#[test]
fn they_are_json_where_that_is_asked_for() {
    let done = run(small(), "check --json --tolerence 3");
    assert_eq!((done.code, done.err.as_str()), (Some(2), ""));
    let error = &done.json()["errors"][0];
    assert!(error["message"].as_str().is_some_and(|message| message.contains("`--tolerence`")), "{error}");
    assert_eq!(error["kind"], "wrong-choice");
}

#[test]
fn who_asks_for_nothing_gets_the_list_of_commands() {
    let done = run(small(), "");
    assert!(done.err.contains("check") && done.err.contains("Usage"), "{}", done.err);
}
