//! Being stopped: signals, closed pipes, full disks, folders that may not be written.

#![cfg(unix)]

use super::jobs::{busy, rectangles};
use crate::support::{Desk, names, tuckroll};
use std::fs;
use std::path::Path;
use std::process::{Child, Command, Stdio};
use std::time::{Duration, Instant};

fn start_long_run(desk: &Desk) -> Child {
    desk.put("job.json", busy().to_string());
    let mut command = desk.command();
    command.args(["nest", "job.json", "-o", "out", "--time", "10m"]).stderr(Stdio::piped());
    let child = command.spawn().unwrap();
    std::thread::sleep(Duration::from_millis(1500));
    child
}

fn signal(child: &Child, name: &str) {
    assert!(Command::new("kill").args([name, &child.id().to_string()]).status().unwrap().success());
}

#[test]
fn ctrl_c_writes_the_best_layout_so_far() {
    for (name, code) in [("-INT", 130), ("-TERM", 143)] {
        let desk = Desk::new();
        let child = start_long_run(&desk);
        signal(&child, name);
        let asked = Instant::now();
        let output = child.wait_with_output().unwrap();
        assert_eq!(output.status.code(), Some(code), "{}", String::from_utf8_lossy(&output.stderr));
        assert!(asked.elapsed() < Duration::from_secs(300), "half of the search went on");
        desk.run(["check", "out/layout.json", "--job", "job.json"]).ends_with(0);
        assert_eq!(desk.names(), ["job.json", "out"], "nothing else is left behind");
    }
}

/// The first layout of so many copies takes far longer than the wait, as they cannot be laid in batches because of the
/// flaw: where nothing is there to be written, nothing is waited for.
#[test]
fn a_signal_before_the_first_layout_ends_at_once() {
    for (name, code) in [("-INT", 130), ("-TERM", 143)] {
        let desk = Desk::new();
        let mut job = busy();
        job["roll"]["flaws"] = serde_json::json!([[[50, 50], [60, 50], [55, 60]]]);
        for panel in job["panels"].as_array_mut().unwrap() {
            panel["copies"] = 12_000.into();
            panel["grain"] = serde_json::json!({ "rule": "free" });
        }
        desk.put("job.json", job.to_string());
        let mut command = desk.command();
        command.args(["nest", "job.json", "-o", "out", "--trace", "t.csv", "--rounds", "0"]);
        let child = command.stderr(Stdio::piped()).spawn().unwrap();
        std::thread::sleep(Duration::from_millis(1500));
        signal(&child, name);
        let output = child.wait_with_output().unwrap();
        assert_eq!(output.status.code(), Some(code), "{}", String::from_utf8_lossy(&output.stderr));
        assert_eq!(desk.names(), ["job.json"], "nothing is written or left behind");
    }
}

#[test]
fn a_killed_run_leaves_nothing_and_the_next_one_goes_on() {
    let desk = Desk::new();
    let mut child = start_long_run(&desk);
    child.kill().unwrap();
    child.wait().unwrap();
    assert_eq!(desk.names(), ["job.json"]);
    desk.run(["nest", "job.json", "-o", "out", "--rounds", "0"]).ends_with(0);
}

#[test]
fn a_second_ctrl_c_ends_at_once() {
    let desk = Desk::new();
    let child = start_long_run(&desk);
    signal(&child, "-INT");
    signal(&child, "-INT");
    let output = child.wait_with_output().unwrap();
    assert_eq!(output.status.code(), Some(130));
}

#[test]
fn a_closed_pipe_is_quiet() {
    let desk = Desk::new();
    desk.put("job.json", rectangles(30.0, 45.0, 4).to_string());
    for args in [&["nest", "job.json", "-o", "-", "--rounds", "0"][..], &["schema", "job"]] {
        let mut child =
            desk.command().args(args).stdout(Stdio::piped()).stderr(Stdio::piped()).spawn().unwrap();
        drop(child.stdout.take());
        let output = child.wait_with_output().unwrap();
        assert_eq!(output.status.code(), Some(0), "{args:?}");
        assert!(output.stderr.is_empty(), "{}", String::from_utf8_lossy(&output.stderr));
    }
}

#[test]
fn output_into_a_full_device_is_an_error() {
    let full = Path::new("/dev/full");
    if !full.exists() {
        eprintln!("skipped: there is no /dev/full here");
        return;
    }
    let mut command = tuckroll();
    let device = fs::File::options().write(true).open(full).unwrap();
    let output = command.args(["schema", "job"]).stdout(device).stderr(Stdio::piped()).output().unwrap();
    assert_eq!(output.status.code(), Some(3));
    assert!(String::from_utf8_lossy(&output.stderr).contains("standard output"));
}

/// A tmpfs, unmounted when dropped.
struct SmallDisk(std::path::PathBuf);

impl SmallDisk {
    fn mount(at: &Path, options: &str) -> Option<Self> {
        fs::create_dir(at).unwrap();
        let mounted = Command::new("mount")
            .args(["-t", "tmpfs", "-o", options, "tmpfs"])
            .arg(at)
            .stderr(Stdio::null())
            .status()
            .is_ok_and(|status| status.success());
        mounted.then(|| Self(at.to_owned()))
    }
}

impl Drop for SmallDisk {
    fn drop(&mut self) {
        let _ = Command::new("umount").arg(&self.0).status();
    }
}

#[test]
fn a_full_disk_leaves_nothing_behind() {
    let desk = Desk::new();
    desk.put("job.json", busy().to_string());
    let Some(disk) = SmallDisk::mount(&desk.path("disk"), "size=16k") else {
        eprintln!("skipped: a small disk can be mounted by root only");
        return;
    };
    let ran = desk.run(["nest", "job.json", "-o", "disk/out", "--rounds", "0"]).ends_with(3);
    assert!(ran.err.contains("disk"), "{}", ran.err);
    assert_eq!(names(&disk.0), Vec::<String>::new());
}

#[test]
fn a_folder_that_may_not_be_written_is_an_error_at_once() {
    use std::os::unix::fs::PermissionsExt;
    let desk = Desk::new();
    desk.put("job.json", busy().to_string());
    let locked = desk.path("locked");
    // Root may write into every folder, but not onto a disk that is mounted for reading.
    let disk = SmallDisk::mount(&locked, "ro");
    if disk.is_none() {
        fs::set_permissions(&locked, fs::Permissions::from_mode(0o555)).unwrap();
    }
    if fs::write(locked.join("probe"), "").is_ok() {
        eprintln!("skipped: no folder can be locked here");
        return;
    }
    let begun = Instant::now();
    desk.run(["nest", "job.json", "-o", "locked/out", "--time", "1m"]).ends_with(3).says(&["locked"]);
    assert!(begun.elapsed() < Duration::from_secs(60), "told only after the search");
}
