"""From nothing to the first kept point with answers alone: no file is edited."""

import contextlib
import fcntl
import os
import pty
import re
import signal
import subprocess
import termios
import threading
import tty
import unittest

from harness import DEADLINE_S, ProcessTest, Receiver, log_of

CLIENT = os.environ["STILLPOINT_CLIENT"]
MARKS = """name,frame,coordinate_epoch,latitude_deg,longitude_deg,height_m,height_kind,sigma_horizontal_m,sigma_vertical_m
VM-11,EPSG:6319,2010.0,47.6001200,-87.4013400,148.300,ellipsoid,0.005,0.008
"""
NETWORK = ["Harrowfen", "A", "network", "0.05 m", "", "", "1", "2010.0", "operator's page, read 2026-05-02", "none", "1.800 m", "71 mm", ""]


class Setup(ProcessTest):
    def setUp(self):
        super().setUp()
        self.file = self.folder / "day.toml"

    def set_up(self, answers, *options, listen=2):
        """Types the answers; the receiver must be sending already."""
        return subprocess.run([CLIENT, "setup", "--write", self.file, "--listen", str(listen), *map(str, options)], input="\n".join(answers) + "\n", capture_output=True, text=True, timeout=DEADLINE_S)

    def sending(self, **options):
        """A receiver on a port that sends to whoever connects; the seconds it says are those of `log_of`."""
        receiver = Receiver()
        self.cleanup.callback(receiver.close)

        def send():
            with contextlib.suppress(OSError):
                while True:
                    with receiver.accept() as link:
                        link.sendall(log_of(60, **options))
                        link.recv(1)

        threading.Thread(target=send, daemon=True).start()
        return f"127.0.0.1:{receiver.port}"

    def test_the_answers_of_a_new_crew_give_a_day_that_runs_and_keeps_a_point(self):
        link = self.sending()
        done = self.set_up(NETWORK, "--receiver", link)
        self.assertEqual(done.returncode, 0, done.stdout + done.stderr)
        self.assertLessEqual(len(re.findall(r"^\d+\. .*\?$", done.stdout, re.M)), 14)
        for sentence in ("Quality rtk-fixed", "station 417", "centimetres", "Without marks nothing can prove the day", "is written and in order"):
            self.assertIn(sentence, done.stdout)
        port = int(link.rpartition(":")[2])
        self.assertIn(f"port = {port}", self.file.read_text())
        self.start("day.toml")
        client = self.client()
        client.until("the seconds", lambda s: s["counters"]["epochs"] >= 50)
        self.assertEqual(client.call("status")["source"], "network")

    def written_without_questions(self, link, answers, *options):
        given = self.folder / "answers"
        given.write_text("\n".join(answers) + "\n")
        return subprocess.run([os.environ["STILLPOINTD"], "--check-feed", "2", "--write", self.file, "--receiver", link, "--answers", given, *options], capture_output=True, text=True, timeout=DEADLINE_S)

    def test_without_questions_the_same_answers_give_the_same_bytes(self):
        link = self.sending()
        self.assertEqual(self.set_up(NETWORK, "--receiver", link).returncode, 0)
        asked = self.file.read_bytes()
        self.file.unlink()
        ids = ["project", "crew", "corrections", "wanted", "frame", "heights", "network-frame", "network-epoch", "evidence", "marks", "pole", "adapter", "people"]
        answers = [f"{id_} = {typed}" for id_, typed in zip(ids, NETWORK) if typed] + ["frame = 1", "heights = ellipsoid"]
        done = self.written_without_questions(link, answers)
        self.assertEqual(done.returncode, 0, done.stdout + done.stderr)
        self.assertEqual(self.file.read_bytes(), asked)
        self.assertIn("Quality rtk-fixed", done.stdout)
        again = self.written_without_questions(link, answers)
        self.assertEqual(again.returncode, 2)
        self.assertIn("It would lose: no key, but the values of today.", again.stderr)
        self.assertEqual(self.written_without_questions(link, answers, "--answer", "overwrite = yes").returncode, 0)

    def test_without_questions_what_listening_cannot_give_stays_open(self):
        done = self.written_without_questions(self.sending(), [])
        self.assertEqual(done.returncode, 1, done.stdout + done.stderr)
        text = self.file.read_text()
        for part in ('frame = "?"', 'coordinate_epoch = "?"', 'evidence = "?"', 'pole = "?"', 'match = { station = ["417"] }'):
            self.assertIn(part, text)
        for part in ("crew =", "name = \"?\"", "marks"):
            self.assertNotIn(part, text)
        self.assertIn("still open", done.stderr)

    def test_without_questions_a_careless_answer_is_stopped_and_nothing_is_written(self):
        link = self.sending()
        for answers, exit_, sentence in ((["pole = 1,8"], 2, "can be read in two ways"), (["pole_m = 2"], 2, 'no question "pole_m"'), (["frame = NAD83"], 2, "no code of a frame")):
            with self.subTest(answers):
                done = self.written_without_questions(link, answers)
                self.assertEqual(done.returncode, exit_, done.stdout + done.stderr)
                self.assertIn(sentence, done.stderr)
                self.assertFalse(self.file.exists())
        for link, exit_, sentence in (("127.0.0.1:1", 1, "refused"), ("/dev/no-such-port", 1, "no-such-port"), ("/dev/ttyACM0 96OO", 2, "A baud rate of 96OO cannot be")):
            with self.subTest(link):
                done = self.written_without_questions(link, [])
                self.assertEqual(done.returncode, exit_, done.stdout + done.stderr)
                self.assertIn(sentence, done.stdout + done.stderr)
                self.assertFalse(self.file.exists())

    def test_a_serial_receiver_is_heard_at_its_rate(self):
        ours, theirs = pty.openpty()
        self.cleanup.callback(os.close, ours)
        self.cleanup.callback(os.close, theirs)
        tty.setraw(theirs)
        os.set_blocking(ours, False)  # nobody reads what is sent after the set-up has ended
        stop = threading.Event()

        def send():
            for i in range(10_000):
                with contextlib.suppress(OSError):
                    os.write(ours, log_of(1, first=i))
                if stop.wait(0.1):
                    return

        writer = threading.Thread(target=send, daemon=True)
        writer.start()
        done = self.set_up(NETWORK, "--receiver", os.ttyname(theirs))
        stop.set()
        writer.join()
        self.assertEqual(done.returncode, 0, done.stdout + done.stderr)
        self.assertIn("baud = 115200", self.file.read_text())

    def test_a_device_that_another_program_holds_is_left_alone(self):
        ours, theirs = pty.openpty()
        self.cleanup.callback(os.close, ours)
        self.cleanup.callback(os.close, theirs)
        tty.setraw(theirs)
        fcntl.flock(theirs, fcntl.LOCK_EX | fcntl.LOCK_NB)  # as the daemon holds its own
        before = termios.tcgetattr(theirs)
        done = self.set_up([os.ttyname(theirs), self.sending(), *NETWORK])
        self.assertEqual(done.returncode, 0, done.stdout + done.stderr)
        self.assertIn(f"Another program, perhaps Stillpoint itself, reads {os.ttyname(theirs)}: end that first.", done.stdout)
        self.assertEqual(termios.tcgetattr(theirs), before)

    def test_a_receiver_that_is_not_there_or_silent_has_a_sentence_and_is_asked_for_again(self):
        link = self.sending()
        done = self.set_up(["/dev/no-such-port", "127.0.0.1:1", "/dev/null", "nowhere", link, *NETWORK])
        self.assertEqual(done.returncode, 0, done.stdout + done.stderr)
        for sentence in ("There is no /dev/no-such-port", "127.0.0.1:1 does not answer", "/dev/null is no serial device", '"nowhere" is no receiver'):
            self.assertIn(sentence, done.stdout)

    def test_what_is_not_known_is_written_open_and_no_day_begins(self):
        answers = list(NETWORK)
        answers[6] = "?"
        done = self.set_up(answers, "--receiver", self.sending())
        self.assertEqual(done.returncode, 1, done.stdout + done.stderr)
        self.assertIn("The network's frame stays open", done.stdout)
        self.assertIn("frame is still open", done.stderr)
        self.assertIn("no day can begin", done.stderr)
        refused = subprocess.run([os.environ["STILLPOINTD"], "--config", self.file], capture_output=True, text=True, timeout=DEADLINE_S)
        self.assertEqual(refused.returncode, 2)

    def test_a_file_that_is_there_is_kept_unless_somebody_gives_it_up_knowing_what_it_loses(self):
        link = self.sending()
        self.file.write_text('[project]\nname = "old"\n[relay]\nlisten = "127.0.0.1:28101"\n')
        before = self.file.read_text()
        done = self.set_up([*NETWORK, "no"], "--receiver", link)
        self.assertEqual(done.returncode, 1)
        self.assertIn("It would lose: relay, relay.listen.", done.stdout)
        self.assertEqual(self.file.read_text(), before)
        done = self.set_up([*NETWORK, "yes"], "--receiver", link)
        self.assertEqual(done.returncode, 0, done.stdout + done.stderr)
        self.assertNotEqual(self.file.read_text(), before)

    def test_answers_that_end_early_and_a_folder_that_is_not_there_write_nothing(self):
        link = self.sending()
        done = self.set_up(NETWORK[:4], "--receiver", link)
        self.assertEqual(done.returncode, 1)
        self.assertIn("nothing was written", done.stderr)
        self.assertFalse(self.file.exists())
        self.file = self.folder / "nowhere" / "day.toml"
        done = self.set_up(NETWORK, "--receiver", link)
        self.assertEqual(done.returncode, 3)
        self.assertIn("cannot be written", done.stderr)

    def test_a_stop_signal_ends_it_while_it_waits_for_an_answer_and_nothing_is_written(self):
        asking = subprocess.Popen([CLIENT, "setup", "--write", self.file], stdin=subprocess.PIPE, stdout=subprocess.PIPE, stderr=subprocess.DEVNULL)
        self.cleanup.enter_context(asking)
        while b"Where is the receiver?" not in asking.stdout.readline():
            pass
        asking.send_signal(signal.SIGINT)
        self.assertEqual(asking.wait(DEADLINE_S), -signal.SIGINT)
        self.assertFalse(self.file.exists())

    def test_back_asks_again_and_marks_are_looked_at(self):
        (self.folder / "marks.csv").write_text(MARKS)
        answers = [*NETWORK[:9], "no-such.csv", "back", "marks.csv", *NETWORK[10:]]
        done = self.set_up(answers, "--receiver", self.sending())
        self.assertEqual(done.returncode, 0, done.stdout + done.stderr)
        self.assertIn("Checks on your marks can prove the day", done.stdout)
        self.assertIn('marks = "marks.csv"', self.file.read_text())


if __name__ == "__main__":
    unittest.main()
