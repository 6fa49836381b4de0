//! Being stopped: signals, closed pipes, full disks, folders that may not be written.

#![cfg(unix)]

use super::jobs::{busy, rectangles};
use crate::support::{Desk, names, tuckroll};
use std::fs;
use std::path::Path;
use std::process::{Child, Command, Output, Stdio};
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

/// Not elsewhere than on Linux, nor where the tests themselves were started with `nohup`. SigIgn is a mask in
/// hexadecimal, its lowest bit for SIGHUP (proc(5)).
fn hears_hang_ups() -> bool {
    let status = fs::read_to_string("/proc/self/status").unwrap_or_default();
    let ignored = status.lines().find_map(|line| line.strip_prefix("SigIgn:"));
    ignored.is_some_and(|mask| {
        mask.trim().ends_with(|digit: char| digit.to_digit(16).is_some_and(|d| d % 2 == 0))
    })
}

#[test]
fn ctrl_c_writes_the_best_layout_so_far() {
    let closed = hears_hang_ups().then_some(("-HUP", 129));
    for (name, code) in [("-INT", 130), ("-TERM", 143)].into_iter().chain(closed) {
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

/// `nohup`, or a shell that has it built in, has the signal ignored.
#[test]
#[cfg(target_os = "linux")]
fn a_closed_window_does_not_stop_what_is_to_outlive_it() {
    let desk = Desk::new();
    desk.put("job.json", busy().to_string());
    let program = env!("CARGO_BIN_EXE_tuckroll");
    let line = format!("trap '' HUP; exec '{program}' nest job.json -o out --time 4");
    let mut command = Command::new("sh");
    let child =
        command.args(["-c", &line]).current_dir(desk.path("")).stderr(Stdio::piped()).spawn().unwrap();
    std::thread::sleep(Duration::from_millis(1500));
    signal(&child, "-HUP");
    assert_eq!(child.wait_with_output().unwrap().status.code(), Some(0));
    desk.run(["check", "out/layout.json"]).ends_with(0);
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
        ended_with_a_word(&child.wait_with_output().unwrap(), code, "nest");
        assert_eq!(desk.names(), ["job.json"], "nothing is written or left behind");
    }
}

#[track_caller]
fn ended_with_a_word(output: &Output, code: i32, what: &str) {
    let said = String::from_utf8_lossy(&output.stderr);
    assert_eq!(output.status.code(), Some(code), "{what}: {said}");
    assert!(
        said.starts_with("stopped: nothing was written") && said.lines().count() == 1,
        "{what}: {said:?}"
    );
}

/// Opens the pipe for writing, which waits until the program reads from it: then it listens for certain.
fn wait_for_reader(pipe: &Path) -> fs::File {
    let (opened, reader) = std::sync::mpsc::channel();
    let pipe = pipe.to_owned();
    std::thread::spawn(move || opened.send(fs::File::options().write(true).open(pipe)));
    reader.recv_timeout(Duration::from_secs(60)).expect("the program reads the pipe").unwrap()
}

#[test]
fn every_command_that_writes_says_that_it_was_stopped() {
    let desk = Desk::new();
    let pipe = desk.path("pipe");
    assert!(Command::new("mkfifo").arg(&pipe).status().unwrap().success());
    for line in [
        "nest pipe -o out",
        "compare pipe -o out",
        "panels pipe -o out",
        "export pipe -o out",
        "report pipe -o out",
        "report pipe -o -",
        "cut pipe -o out",
        "recut pipe --kit K -o out.json",
        "stock confirm pipe",
    ] {
        for (name, code) in [("-INT", 130), ("-TERM", 143)] {
            let mut command = desk.command();
            command.args(line.split(' ')).stdout(Stdio::piped()).stderr(Stdio::piped());
            let child = command.spawn().unwrap();
            let open = wait_for_reader(&pipe);
            signal(&child, name);
            let output = child.wait_with_output().unwrap();
            drop(open);
            ended_with_a_word(&output, code, line);
            assert!(output.stdout.is_empty(), "{line}");
            assert_eq!(desk.names(), ["pipe"], "{line}");
        }
    }
}

/// Waits until some drafts are on the disk, or the result is.
fn wait_for_drafts(desk: &Desk, out: &str) {
    let begun = Instant::now();
    let drafted = |name: &String| {
        name.starts_with(".tuckroll-")
            && fs::read_dir(desk.path(name).join("new")).is_ok_and(|files| files.count() > 2)
    };
    while !desk.path(out).exists() && !desk.names().iter().any(drafted) {
        assert!(begun.elapsed() < Duration::from_secs(60), "nothing is written");
        std::thread::sleep(Duration::from_micros(100));
    }
}

/// Hundreds of files, one for each section, give time to stop in the midst of them.
#[test]
fn a_signal_while_files_are_written_leaves_all_or_nothing() {
    let desk = Desk::new();
    desk.put("job.json", rectangles(30.0, 45.0, 300).to_string());
    desk.run(["nest", "job.json", "-o", "in", "--rounds", "0"]).ends_with(0);
    let cut = ["cut", "in", "-o", "out", "--each-section", "--section-length", "40"];
    desk.run(cut).ends_with(0);
    let whole = names(&desk.path("out"));
    assert!(whole.len() > 200, "{}", whole.len());
    fs::remove_dir_all(desk.path("out")).unwrap();
    let mut given_up = 0;
    for i in 0..20 {
        let mut command = desk.command();
        let child = command.args(cut).stdout(Stdio::null()).stderr(Stdio::piped()).spawn().unwrap();
        wait_for_drafts(&desk, "out");
        let (name, code) = [("-INT", 130), ("-TERM", 143)][i % 2];
        signal(&child, name);
        let output = child.wait_with_output().unwrap();
        if desk.path("out").exists() {
            // Too late: all of it is there, although its last lines may not have been printed.
            assert!([Some(0), Some(code)].contains(&output.status.code()), "{output:?}");
            assert_eq!(names(&desk.path("out")), whole);
            fs::remove_dir_all(desk.path("out")).unwrap();
        } else {
            ended_with_a_word(&output, code, "cut");
            given_up += 1;
        }
        assert_eq!(desk.names(), ["in", "job.json"], "nothing is left behind");
        if given_up == 4 {
            return;
        }
    }
    assert!(given_up > 0, "no signal came in time");
}

#[test]
fn ctrl_c_writes_the_best_layouts_of_several_pieces() {
    let desk = Desk::new();
    let mut job = busy();
    job.as_object_mut().unwrap().remove("roll");
    job["rolls"] = serde_json::json!([
        { "id": "white", "width": 160, "film": "w" },
        { "id": "black", "width": 160, "film": "b" },
    ]);
    for (i, panel) in job["panels"].as_array_mut().unwrap().iter_mut().enumerate() {
        panel["film"] = ["w", "b"][i % 2].into();
    }
    desk.put("job.json", job.to_string());
    let mut command = desk.command();
    command.args(["nest", "job.json", "-o", "out", "--time", "20m"]).stderr(Stdio::piped());
    let child = command.stdout(Stdio::piped()).spawn().unwrap();
    // The first layout of the first piece is there by then.
    std::thread::sleep(Duration::from_secs(5));
    signal(&child, "-INT");
    let asked = Instant::now();
    let output = child.wait_with_output().unwrap();
    let said = String::from_utf8_lossy(&output.stderr);
    assert_eq!(output.status.code(), Some(130), "{said}");
    assert!(said.contains("best layouts found so far"), "{said}");
    // No number of rounds makes all pieces again as they were when the search was stopped.
    assert!(!String::from_utf8_lossy(&output.stdout).contains("repeat"));
    let report = std::fs::read_to_string(desk.path("out/white/report.html")).unwrap();
    assert!(report.contains("in the same place again") && !report.contains("gives these bytes again"));
    assert!(asked.elapsed() < Duration::from_secs(300), "half of the search went on");
    for piece in ["white", "black"] {
        desk.run(["check", &format!("out/{piece}/layout.json"), "--job", "job.json"]).ends_with(0);
    }
    assert_eq!(desk.names(), ["job.json", "out"]);
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

/// A folder that may not be written, with a stock in it; `None` where there can be none.
fn lock_folder(desk: &Desk) -> Option<Option<SmallDisk>> {
    use std::os::unix::fs::PermissionsExt;
    let locked = desk.path("locked");
    // Root may write into every folder, but not onto a disk that is mounted for reading.
    let disk = SmallDisk::mount(&locked, "size=64k");
    fs::copy(desk.path("stock.json"), locked.join("stock.json")).unwrap();
    if disk.is_some() {
        let again = Command::new("mount").args(["-o", "remount,ro"]).arg(&locked).status();
        assert!(again.unwrap().success());
    } else {
        fs::set_permissions(&locked, fs::Permissions::from_mode(0o555)).unwrap();
    }
    fs::write(locked.join("probe"), "").is_err().then_some(disk)
}

#[test]
fn a_folder_that_may_not_be_written_is_an_error_at_once() {
    let desk = Desk::new();
    let mut day = busy();
    day.as_object_mut().unwrap().remove("roll");
    day["stock"] = "stock.json".into();
    for panel in day["panels"].as_array_mut().unwrap() {
        panel["kit"] = "K".into();
    }
    desk.put("day.json", day.to_string());
    desk.put("job.json", busy().to_string());
    let roll = serde_json::json!({ "id": "r0", "width": 160, "length": 9000 });
    let stock = serde_json::json!({ "format": "tuckroll-stock-1", "unit": "mm", "rolls": [roll] });
    desk.put("stock.json", stock.to_string());
    let kit = concat!(env!("CARGO_MANIFEST_DIR"), "/fixtures/kits/tube.json");
    fs::copy(kit, desk.path("kit.json")).unwrap();
    desk.run(["nest", "day.json", "-o", "in", "--rounds", "0"]).ends_with(0);
    let Some(disk) = lock_folder(&desk) else {
        eprintln!("skipped: no folder can be locked here");
        return;
    };
    let (before, stock) = (desk.names(), fs::read(desk.path("locked/stock.json")).unwrap());
    let begun = Instant::now();
    for line in [
        "nest job.json -o locked/out --time 1m",
        "nest job.json -o out --trace locked/t.csv --time 1m",
        "compare job.json -o locked/out --rounds 1000000",
        "panels kit.json -o locked/out",
        "export in/r0/layout.json -o locked/out",
        "report in/r0/layout.json -o locked/out",
        "cut in -o locked/out",
        "recut in/r0/layout.json --kit K -o locked/again.json",
        "stock confirm in/r0/layout.json --stock locked/stock.json",
    ] {
        let ran = desk.run(line.split(' '));
        assert_eq!(ran.code, Some(3), "{line}: {}", ran.err);
        ran.says(&["locked"]);
        assert_eq!(desk.names(), before, "{line}");
        assert_eq!(names(&desk.path("locked")), ["stock.json"], "{line}");
        assert_eq!(fs::read(desk.path("locked/stock.json")).unwrap(), stock, "{line}");
    }
    assert!(begun.elapsed() < Duration::from_secs(60), "told only after the search");
    if disk.is_none() {
        use std::os::unix::fs::PermissionsExt;
        // Or the desk could not be cleared.
        fs::set_permissions(desk.path("locked"), fs::Permissions::from_mode(0o755)).unwrap();
    }
}
