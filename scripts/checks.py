"""Counting what holds, as the cross-checks do that look at many small things."""
import sys


class Checks:
    passed = failed = 0

    def expect(self, good, what):
        self.passed, self.failed = self.passed + bool(good), self.failed + (not good)
        if not good:
            print(f"FAILED: {what}")

    def finish(self):
        """The last line, and the exit code."""
        print(f"{self.passed} passed, {self.failed} failed")
        sys.exit(1 if self.failed else 0)
