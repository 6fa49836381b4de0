//! Examples at the end of each help text.

pub(super) const EXAMPLES: &str = "\
Examples:
  tuckroll nest day.json -o out             a shop: pack today's job, write its files to 'out'
  tuckroll check out/layout.json            prove that a layout keeps every rule
  tuckroll cut out/layout.json -o plotter   plan the cut and write the plotter's file
  tuckroll panels kit.json -o - --width 594 | tuckroll nest - -o - > layout.json
                                            a pipeline: tape measurements in, a layout out
  tuckroll compare day.json -o which --width 610,1220
                                            a bench: which of two rolls costs least film
  tuckroll outlines fin.dxf                 see what is in a drawing, and how large it is

Exit codes, the same for every command:
  0    done
  1    the job is well-formed but cannot be met, or a check failed
  2    wrong input or wrong usage; nothing was written
  3    a file could not be read or written
  4    a fault of this program; please report it
  130  stopped by Ctrl-C, 143 by SIGTERM, 129 because the window was closed; the best layout was written if there
       was one

'tuckroll COMMAND --help' tells more about a command.";

pub(super) const NEST_EXAMPLES: &str = "\
Examples:
  tuckroll nest day.json -o out             write layout, cut file, preview and report into 'out'
  tuckroll nest day.json -o out --time 2m   search for two minutes
  tuckroll nest day.json -o out --replace   put the new result where the last one was
  make-job | tuckroll nest - -o -           job from a pipe, layout into a pipe

A job with several pieces of film ('rolls', 'stock') gives a folder for each piece that is used, and
out/summary.json. Where the film does not do, whole kits are cut by their priority, and the rest is named.

Ctrl-C ends the search and writes the best layout found so far; a second Ctrl-C ends at once.
Exit code: 0 done; 1 it does not fit; 2 wrong input; 3 a file could not be read or written;
4 a fault of this program; 130 or 143 stopped from outside, best layout written.";

pub(super) const CHECK_EXAMPLES: &str = "\
Examples:
  tuckroll check out/layout.json
  tuckroll check out/layout.json --job day.json
  tuckroll check out --job day.json         a day on several pieces of film: nothing lost between them

Exit code: 0 all rules are kept; 1 a rule is broken; 2 this is not a layout;
3 the file could not be read.";

pub(super) const OUTLINES_EXAMPLES: &str = "\
Examples:
  tuckroll outlines fin.dxf
  tuckroll outlines fin.dxf --unit in       read the drawing's numbers as inches

Compare the size in mm with a ruler before cutting: a wrong unit shows here first.";

pub(super) const PANELS_EXAMPLES: &str = r#"Examples:
  tuckroll panels kit.json -o patterns --width 594
  tuckroll nest patterns/job.json -o out    pack them; a job may also name the kit itself, in `kits`
  tuckroll panels kit.json -o - --width 594 | tuckroll nest - -o out    without files between

A kit for a nose of 262 mm around and 410 mm long:
  {
    "format": "tuckroll-kit-1", "name": "My nose", "unit": "mm",
    "parts": [
      { "id": "nose", "kind": "nose", "profile": "ogive", "circumference": 262, "length": 410,
        "gores": "auto", "aft": { "trim": 6 } }
    ]
  }
Kinds: nose, tube, transition, fin, plate. 'tuckroll schema kit' lists every key,
'tuckroll films' prints the film library that is taken where you name none.

Exit code: 0 done; 1 film or roll cannot do it; 2 wrong input; 3 a file could not be read or written."#;

pub(super) const EXPORT_EXAMPLES: &str = "\
Examples:
  tuckroll export out/layout.json -o again --dxf r2010
  tuckroll export out/layout.json -o again --cut-unit in --png";

pub(super) const REPORT_EXAMPLES: &str = "\
Examples:
  tuckroll report out/layout.json -o report    write report/report.html, report.json and kits.csv
  tuckroll report out/layout.json -o -         print the numbers as JSON

'nest' writes the same files beside the layout, with what it had to warn of.";

pub(super) const COMPARE_EXAMPLES: &str = "\
Examples:
  tuckroll compare day.json -o which --width 610,1220           two rolls, three seeds each
  tuckroll compare day.json -o which --width 610,1220 --gap 2,3 every width with every gap

Too much for one machine:
  mkdir cells
  tuckroll compare day.json -o cells --width 610,1220 --seeds 1-20 --list > commands
  sh commands                               or spread its lines over machines as you like
  tuckroll compare --gather cells -o which";

pub(super) const COMPLETIONS_EXAMPLES: &str = "\
Examples:
  tuckroll completions bash > ~/.local/share/bash-completion/completions/tuckroll
  tuckroll completions fish > ~/.config/fish/completions/tuckroll.fish";

pub(super) const MAN_EXAMPLES: &str = "\
Examples:
  tuckroll man | man -l -
  tuckroll man nest > ~/.local/share/man/man1/tuckroll-nest.1";

pub(super) const CUT_EXAMPLES: &str = "\
Examples:
  tuckroll cut out/layout.json -o plotter                          plan.json, cut.plt, cut.dxf
  tuckroll cut out/layout.json -o plotter --section-length 1200 --marks
  tuckroll cut out/layout.json -o rest --section-length 1200 --from-section 3     after a jam
  tuckroll cut out/layout.json -o plotter --device my-cutter.json

A profile is a small file: 'tuckroll schema device' lists its keys. Lengths are in mm whatever
the layout's unit. Exit code: 0 done; 1 it cannot be cut so; 2 wrong input; 3 a file could not
be read or written.";

pub(super) const STOCK_EXAMPLES: &str = "\
Examples:
  tuckroll stock confirm out/white-610/layout.json
  tuckroll stock confirm out/white-610/layout.json --stock films/stock.json

The piece of film loses the length that was cut, and offcuts that the stock keeps become pieces of
their own. A second confirmation of one layout changes nothing. Confirm before nesting the next job.

Exit code: 0 done, or done before; 1 the piece is no longer what the layout was made for;
2 wrong input; 3 a file could not be read or written.";

pub(super) const RECUT_EXAMPLES: &str = "\
Examples:
  tuckroll recut out/layout.json --panel A-101/nose/gore#3 -o again.json
  tuckroll recut out/layout.json --kit A-102 --into out/layout.json -o again.json
  tuckroll recut out/layout.json --kit A-102 | tuckroll nest - -o again

Every piece keeps its size and the heading at which it was cut, so that it matches its neighbours.

Exit code: 0 done; 1 it does not fit the film; 2 wrong input; 3 a file could not be read or written.";
