# SPDX-License-Identifier: Apache-2.0
"""What a terminal shows: a plot of the curve in plain characters, colours there alone and not with
NO_COLOR, progress on one line."""
import os
import pty
import re
import subprocess

from program import PROGRAM, ProgramCase, main, study


class Terminal(ProgramCase):
    def on_terminal(self, *words, **environment):
        """Everything that the program writes to a terminal."""
        leader, follower = pty.openpty()
        env = {key: value for key, value in os.environ.items() if key not in ("NO_COLOR", "TERM")}
        with subprocess.Popen([PROGRAM, *words], cwd=self.folder, stdout=follower,
                              stderr=follower, env={**env, "TERM": "xterm", **environment}):
            os.close(follower)
            text = b""
            while True:
                try:
                    piece = os.read(leader, 4096)
                except OSError:  # the other end is closed
                    break
                if not piece:
                    break
                text += piece
        os.close(leader)
        return text.decode()

    def setUp(self):
        super().setUp()
        self.write("study.toml", study(loading__to_strain="0.4"))

    def test_colours_on_a_terminal_alone(self):
        verdict = "\x1b[1;32mtrusted: "
        self.assertIn(verdict, self.on_terminal("crush", "study.toml"))
        self.assertIn(verdict, self.on_terminal("crush", "study.toml", NO_COLOR=""))
        for environment in [{"NO_COLOR": "1"}, {"TERM": "dumb"}]:
            text = self.on_terminal("crush", "study.toml", **environment)
            self.assertIn("trusted: ", text)
            self.assertNotIn("\x1b[1;", text)
        self.assertNotIn("\x1b", self.run_program("crush", "study.toml").stdout)

    def test_plot_is_the_curve(self):
        text = self.run_program("crush", "study.toml", "--csv", "curve.csv", "-q").stdout
        rows = re.findall(r"^.{10}\|(.*)$", text, re.MULTILINE)
        self.assertGreaterEqual(len(rows), 8)
        self.assertLessEqual(max(len(line) for line in text.split("\n") if "|" in line), 72)
        lines = [line for line in (self.folder / "curve.csv").read_text().split("\n")
                 if line and not line.startswith("#")]
        names = lines[0].split(",")
        stress = [float(line.split(",")[names.index("nominal_stress_MPa")]) for line in lines[1:]]
        # the number beside the top row is the largest stress
        top = float(re.search(r"^ *(\S+) \|", text, re.MULTILINE).group(1))
        self.assertAlmostEqual(top / max(stress), 1.0, delta=0.006)  # three digits
        marks = sorted((i, row) for i, row in enumerate(rows) if "*" in row)
        self.assertEqual(marks[0][0], 0)             # the peak is on the top row
        self.assertTrue(rows[-1].startswith("*"))    # and the curve begins at the origin


if __name__ == "__main__":
    main()
