"""stillpoint-office accuracy and receiver-test through the real program: figures, exit statuses, sentences."""
import os
import subprocess
import tempfile
import unittest

OFFICE = os.environ["STILLPOINT_OFFICE"]
HERE = os.path.dirname(os.path.abspath(__file__))


def run(*arguments):
    return subprocess.run([OFFICE, *arguments], capture_output=True, text=True, check=False)


class Proof(unittest.TestCase):
    def setUp(self):
        self.folder = tempfile.TemporaryDirectory()
        self.addCleanup(self.folder.cleanup)

    def file(self, name, text):
        path = os.path.join(self.folder.name, name)
        with open(path, "w", encoding="utf-8") as out:
            out.write(text)
        return path

    def test_accuracy_names_both_standards_and_says_when_points_are_too_few(self):
        rows = [line.strip(" {},\n") for line in open(os.path.join(HERE, "checkpoints25.inc"), encoding="utf-8")]
        path = self.file("points.csv", "id,dE,dN,dZ\n" + "\n".join(rows) + "\n")
        done = run("accuracy", path, "--survey-horizontal", "0.02", "--survey-vertical", "0.03")
        self.assertEqual(done.returncode, 0, done.stderr)
        self.assertIn("95 % confidence, horizontal: 0.7438 m", done.stdout)  # R: 0.74380897
        self.assertIn("95 % confidence, vertical: 0.9226 m", done.stdout)  # R: 0.92259471
        self.assertIn("RMSE_H (about 63 % of a circular error): 0.4314 m", done.stdout)  # R: 0.4313917
        self.assertIn("25 points, at least 30 demanded: NOT a valid statement", done.stdout)

    def test_fewer_points_than_nssda_demands_are_no_statement(self):
        done = run("accuracy", self.file("few.csv", "id,dE,dN\n1,0.1,0.2\n2,-0.1,0.1\n"))
        self.assertEqual(done.returncode, 1)
        self.assertIn("2 points, at least 20 demanded: NOT a valid statement", done.stdout)

    def test_half_a_receiver_test_names_the_set_that_comes_next(self):
        path = self.file("half.csv", "series,set,point,easting_m,northing_m,height_m\n1,1,1,1,2,3\n1,1,2,4,6,4\n")
        done = run("receiver-test", path, "--full", "--sigma-horizontal", "0.01", "--sigma-vertical", "0.02")
        self.assertEqual(done.returncode, 1)
        self.assertIn("series 1, set 2, point 1 is still to be measured", done.stderr)

    def test_what_is_missing_is_told(self):
        path = self.file("bad.csv", "id,dE,dN\n1,x,0.2\n")
        self.assertEqual(run("accuracy", path).returncode, 4)
        self.assertEqual(run("accuracy", path + ".not").returncode, 4)
        self.assertEqual(run("receiver-test", path).returncode, 2)


if __name__ == "__main__":
    unittest.main()
