//! A MusicXML document in its container: a zip file that says which of its files is the score (MusicXML 4.0, "Compressed
//! .mxl files").

use std::io::{Cursor, Write};

use zip::write::SimpleFileOptions;
use zip::{CompressionMethod, DateTime, ZipWriter};

use super::xml::Xml;

/// The media type of such a container, uncompressed at its beginning, so that the file is recognised by its bytes.
const MEDIA_TYPE: &str = "application/vnd.recordare.musicxml";

/// The media type of the document in it.
const DOCUMENT_TYPE: &str = "application/vnd.recordare.musicxml+xml";

/// The document's name in the container.
const SCORE: &str = "score.musicxml";

/// Puts a MusicXML document into a container. All its files are dated 1980, so that the same document gives the same bytes.
#[expect(clippy::missing_panics_doc, reason = "memory takes everything")]
pub fn contain(document: &[u8]) -> Vec<u8> {
    let mut zip = ZipWriter::new(Cursor::new(Vec::new()));
    let plain = SimpleFileOptions::DEFAULT.last_modified_time(DateTime::default());
    let packed = plain.compression_method(CompressionMethod::Deflated);
    let plain = plain.compression_method(CompressionMethod::Stored);
    let container = container();
    let files = [
        ("mimetype", plain, MEDIA_TYPE.as_bytes()),
        ("META-INF/container.xml", packed, &container),
        (SCORE, packed, document),
    ];
    for (name, options, bytes) in files {
        zip.start_file(name, options).and_then(|()| Ok(zip.write_all(bytes)?)).expect("memory takes everything");
    }
    zip.finish().expect("memory takes everything").into_inner()
}

fn container() -> Vec<u8> {
    let mut xml = Xml::new(None);
    xml.within("container", &[], |xml| {
        xml.within("rootfiles", &[], |xml| {
            xml.empty("rootfile", &[("full-path", SCORE), ("media-type", DOCUMENT_TYPE)]);
        });
    });
    xml.finish()
}

#[cfg(test)]
mod tests {
    use std::io::Read;

    use super::*;

    #[test]
    fn the_container_names_the_score_and_gives_it_back() {
        let document = "<score-partwise/>".repeat(100);
        let bytes = contain(document.as_bytes());
        assert_eq!(bytes, contain(document.as_bytes()));
        assert_eq!(&bytes[30..38], b"mimetype");
        let mut zip = zip::ZipArchive::new(Cursor::new(&bytes)).expect("a zip");
        let mut read = |name: &str| {
            let mut text = String::new();
            zip.by_name(name).expect(name).read_to_string(&mut text).expect("a text");
            text
        };
        let container = read("META-INF/container.xml");
        let container = roxmltree::Document::parse(&container).expect("well-formed");
        let root = container.descendants().find(|node| node.has_tag_name("rootfile")).expect("a root file");
        assert_eq!(read(root.attribute("full-path").expect("a path")), document);
    }
}
