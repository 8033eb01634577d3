//! A disk without room. Stands for it: a limit of the size of a file (POSIX `ulimit -f`, in units of 512 bytes), whose signal is set aside so that
//! writing fails.

use crate::command::command;
use crate::{PATH, STATION, names, record};
use std::fs;
use std::path::Path;
use std::process::{Command, Output, Stdio};
use testkit::server::{Answer, Server};

/// The command with room for 40 x 512 bytes a file, or 1,024 bytes each where the shell counts so.
fn limited(archive: &Path, arguments: &[&str]) -> Output {
    let free = command(archive, arguments);
    let mut limited = Command::new("sh");
    limited.args(["-c", "trap '' XFSZ; ulimit -f 40 && exec \"$0\" \"$@\""]).arg(free.get_program()).args(free.get_args());
    for (name, value) in free.get_envs() {
        match value {
            Some(value) => limited.env(name, value),
            None => limited.env_remove(name),
        };
    }
    limited.stdin(Stdio::null()).output().unwrap()
}

#[test]
fn a_full_disk_costs_neither_the_good_copy_nor_the_room() {
    let place = tempfile::tempdir().unwrap();
    // Some 270 bytes a month: 5 KB, then 180 KB.
    let (small, large) = (record(600, 1.0), record(20_000, 2.0));
    assert!(small.len() < 40 * 512 && large.len() > 40 * 1024);
    let server = Server::plain({
        let (small, large) = (small.clone(), large.clone());
        move |asked| if asked.before == 0 { Answer::file(asked, &small, "\"1\"") } else { Answer::file(asked, &large, "\"2\"") }
    })
    .unwrap();
    let call = ["download", STATION, "--mirror", &server.url()];
    assert!(limited(place.path(), &call).status.success());
    let file = place.path().join("v1").join(PATH);
    for before in [Some(small), None] {
        if before.is_none() {
            fs::remove_file(&file).unwrap();
        }
        let output = limited(place.path(), &call);
        let errors = String::from_utf8(output.stderr).unwrap();
        assert_eq!(output.status.code(), Some(i32::from(before.is_none())), "{errors}");
        assert!(errors.contains("archive-file-unusable") && errors.contains("room in it") && errors.contains("--archive"), "{errors}");
        assert_eq!(fs::read(&file).ok(), before);
        assert!(names(&file).iter().all(|name| !name.contains(".part")), "{:?}", names(&file));
    }
    // With room again all is as ever.
    assert!(command(place.path(), &call).output().unwrap().status.success());
    assert_eq!(fs::read(&file).unwrap(), large);
}
