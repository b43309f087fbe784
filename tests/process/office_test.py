"""The command line of stillpoint-office, and the sentences for whoever still uses the options that became its verbs."""
import subprocess
import unittest

from harness import DEADLINE_S, OFFICE, REDUCE

VERBS = ("verify", "redo", "merge", "error-scale", "accuracy", "receiver-test", "outage-study", "deliver", "hand-over", "receive")


def run(*arguments):
    return subprocess.run(list(map(str, arguments)), capture_output=True, text=True, timeout=DEADLINE_S)


@unittest.skipUnless(OFFICE, "stillpoint-office was not built")
class Office(unittest.TestCase):
    def test_every_verb_has_a_help_that_names_its_exit_statuses(self):
        self.assertEqual(run(OFFICE, "--version").returncode, 0)
        listed = run(OFFICE, "--help")
        self.assertEqual(listed.returncode, 0)
        for verb in VERBS:
            with self.subTest(verb=verb):
                done = run(OFFICE, verb, "--help")
                self.assertEqual(done.returncode, 0, done.stderr)
                self.assertIn("Exit status: 0", done.stdout)
                self.assertIn(f"\n  {verb} ", listed.stdout)

    def test_what_is_asked_for_wrongly_is_one_sentence_that_leads_to_the_right_help(self):
        rows = [
            ((), "see stillpoint-office --help"),
            (("unknown",), "see stillpoint-office --help"),
            (("verify",), "see stillpoint-office verify --help"),
            (("redo", "x.toml", "--pointbook", "a.gpkg"), "--config is required; see stillpoint-office redo --help"),
            (("redo", "x.toml", "--config", "a.toml"), "--pointbook is required; see stillpoint-office redo --help"),
            (("merge", "a.gpkg", "--out", "b.gpkg"), "two pointbooks or more; see stillpoint-office merge --help"),
            (("error-scale", "--config", "a", "--log", "b"), "--marks or --repeats is required"),
            (("deliver", "--as", "csv", "--out", "o"), "--pointbook is required; see stillpoint-office deliver --help"),
            (("hand-over", "--config", "a.toml"), "--out is required; see stillpoint-office hand-over --help"),
            (("receive",), "see stillpoint-office receive --help"),
            (("receiver-test",), "see stillpoint-office receiver-test --help"),
        ]
        for arguments, said in rows:
            with self.subTest(arguments=arguments):
                done = run(OFFICE, *arguments)
                self.assertEqual((done.returncode, done.stdout), (2, ""))
                self.assertIn(said, done.stderr)
                self.assertEqual(done.stderr.count("\n"), 1, done.stderr)

    @unittest.skipUnless(REDUCE, "stillpoint-reduce was not built")
    def test_an_option_that_became_a_verb_names_the_verb(self):
        rows = [
            ("--verify", "verify"), ("--redo", "redo"), ("--redo=x.toml", "redo"), ("--merge", "merge"),
            ("--calibrate", "error-scale"), ("--calibrate-repeats", "error-scale --repeats"), ("--accuracy", "accuracy"),
            ("--receiver-test", "receiver-test"), ("--outage-study", "outage-study"),
        ]
        for option, verb in rows:
            with self.subTest(option=option):
                done = run(REDUCE, "--config", "a.toml", option, "x")
                self.assertEqual((done.returncode, done.stdout), (2, ""))
                self.assertIn(f"{option.split('=')[0]} is stillpoint-office {verb} now", done.stderr)


if __name__ == "__main__":
    unittest.main()
