//! `panfold guide`: the list of topics, a topic, and one that is not there.

use super::{program, run, says};

#[test]
fn the_list_has_a_line_for_each_topic() {
    let list = run(".", "guide");
    assert_eq!((list.code, list.err.as_str()), (Some(0), ""));
    for who in ["For the arranger:\n", "\nFor the leader:\n", "\nFor the player:\n"] {
        assert!(says(&list.out, who), "{}", list.out);
    }
    let topics: Vec<&str> =
        list.out.lines().filter_map(|line| line.strip_prefix("  ")?.split_whitespace().next()).collect();
    assert!(topics.len() > 10, "{topics:?}");
    for topic in topics {
        let told = run(".", &format!("guide {topic}"));
        assert_eq!((told.code, told.err.as_str()), (Some(0), ""), "{topic}");
        let mut lines = told.out.lines();
        let (question, under) = (lines.next().expect("a heading"), lines.next().expect("a line under it"));
        assert!(question.contains('?') && under.chars().all(|c| c == '='), "{topic}: {question}");
        assert!(!says(&told.out, "```") && !says(&told.out, "]("), "{topic} is shown as Markdown");
    }
}

#[test]
fn a_topic_is_no_wider_than_is_easy_to_read() {
    let wide = run(".", "guide practise").out;
    assert!(wide.starts_with("How do I practise my part?\n"), "{wide}");
    let is_prose = |line: &&str| !line.starts_with(['|', ' ']);
    assert!(wide.lines().filter(is_prose).all(|line| line.chars().count() <= 100), "{wide}");
}

#[test]
fn a_command_leads_to_its_topic() {
    assert_eq!(run(".", "guide drill").out, run(".", "guide practise").out);
    assert_eq!(run(".", "guide Strums").out, run(".", "guide strums").out);
}

#[test]
fn an_unknown_topic_is_answered_with_the_nearest() {
    let near = run(".", "guide strms");
    assert_eq!((near.code, near.out.as_str()), (Some(2), ""));
    assert!(
        says(&near.err, "the guide has no topic `strms`") && says(&near.err, "did you mean `strums`?"),
        "{}",
        near.err
    );
    let far = run(".", "guide weather");
    assert_eq!(far.code, Some(2));
    assert!(says(&far.err, "`panfold guide` lists them all"), "{}", far.err);
    let empty = super::done(program(".").args(["guide", ""]).output().expect("it runs"));
    assert_eq!(empty.code, Some(2));
}
