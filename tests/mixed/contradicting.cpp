/// How often two visits of one mark are held as contradicting each other, through the real session: by the time between
/// them, and by how far the second stands from the first in sigmas of their joint error.
///
/// The receiver's errors are honest: white and slow ones that come to what it claims. Of visits that stand at the same
/// place fewer than 1 % may be held; of those 12 sigma and more apart, all are.
///
///     contradicting [--draws N] [--seed S]

#include <algorithm>
#include <cmath>
#include <cstdio>
#include <cstdlib>
#include <string>

#include "geodesy/frames.hpp"
#include "session/session.hpp"
#include "simulate/random.hpp"
#include "support/epochs.hpp"
#include "support/nmea_text.hpp"

namespace {

using namespace stillpoint;

constexpr int kMinutesBetween[] = {2, 10, 30, 60, 120};
constexpr double kSigmasApart[] = {0, 3, 4, 5, 6, 8, 12, 20, 50};
constexpr int kStay_s = 70;
constexpr double kClaim_m = 0.010, kSlow_m = 0.008, kWhite_m = 0.006, kTau_s = 60, kPi = 3.14159265358979323846;

class Crew {
 public:
  Crew(const config::Settings& settings, simulate::Random& dice)
      : dice_(dice), session_(settings, geodesy::Frames::open(settings).value(), session::Options{}) {
    session_.feed(session::FeedState::open, "a study", SteadyTime{0});
  }

  /// The visit as it was kept.
  occupation::Point visit(double north_m, double east_m, double up_m, bool again) {
    run(20, north_m, east_m, up_m);
    session::OccupyCommand command;
    command.name = "CUL-1";
    command.again = again;
    session_.occupy(command);
    run(kStay_s, north_m, east_m, up_m);
    session_.keep();
    const session::Outputs out = session_.take();
    return out.points.empty() ? occupation::Point{} : out.points.front().point;
  }
  void wait(int seconds) {
    now_s_ += seconds;
    session_.advance(SteadyTime{now_s_ * 1000});
  }

 private:
  void run(int seconds, double north_m, double east_m, double up_m) {
    for (const int end_s = now_s_ + seconds; now_s_ < end_s; ++now_s_) {
      support::Second second;
      second.t_s = now_s_;
      second.sigma_m = kClaim_m;
      second.north_m = north_m + noise(slow_[0]);
      second.east_m = east_m + noise(slow_[1]);
      second.up_m = up_m + 1.5 * noise(slow_[2]);
      session_.push(second.text(), SteadyTime{now_s_ * 1000 + 80});
    }
  }
  double noise(double& slow) {
    const double keeps = std::exp(-1.0 * (now_s_ - heard_s_ + 1) / kTau_s);
    slow = keeps * slow + std::sqrt(1 - keeps * keeps) * kSlow_m * dice_.normal();
    if (&slow == &slow_[2]) heard_s_ = now_s_ + 1;
    return slow + kWhite_m * dice_.normal();
  }

  simulate::Random& dice_;
  session::Session session_;
  int now_s_ = 0, heard_s_ = 0;
  double slow_[3] = {};
};

bool is_contradicted(const occupation::Point& point) {
  return std::find(point.reasons.begin(), point.reasons.end(), occupation::HoldReason::visits_disagree) !=
         point.reasons.end();
}

/// Whether the second visit was held as contradicting the first.
bool one_pair(int minutes, double sigmas, const config::Settings& settings, simulate::Random& dice) {
  Crew crew(settings, dice);
  const occupation::Point first = crew.visit(0, 0, 0, false);
  if (!first.at) return false;
  const auto& c = first.at->covariance_enu_m2;
  const double joint_m = std::sqrt(c[0] + c[2]), joint_up_m = std::sqrt(2 * c[3]);
  crew.wait(minutes * 60 - 20);
  const double bearing = 2 * kPi * dice.uniform();
  const bool in_height = dice.uniform() < 1.0 / 3;
  const double apart_m = in_height ? 0 : sigmas * joint_m;
  return is_contradicted(
      crew.visit(apart_m * std::cos(bearing), apart_m * std::sin(bearing), in_height ? sigmas * joint_up_m : 0, true));
}

}  // namespace

int main(int argc, char** argv) {
  int draws = 20;
  std::uint64_t seed = 7;
  for (int i = 1; i + 1 < argc; i += 2) {
    if (std::string(argv[i]) == "--draws") draws = std::atoi(argv[i + 1]);
    if (std::string(argv[i]) == "--seed") seed = std::strtoull(argv[i + 1], nullptr, 10);
  }
  const config::Settings settings = support::settings();
  simulate::Random dice(seed, "contradicting visits");
  std::printf("held of %d pairs, in percent; across: sigmas of the joint error between them\nminutes between", draws);
  for (const double sigmas : kSigmasApart) std::printf(" %6.0f", sigmas);
  int alarms = 0, missed = 0, true_pairs = 0;
  for (const int minutes : kMinutesBetween) {
    std::printf("\n%15d", minutes);
    for (const double sigmas : kSigmasApart) {
      const int pairs = sigmas == 0 ? 4 * draws : draws;
      int held = 0;
      for (int i = 0; i < pairs; ++i) held += one_pair(minutes, sigmas, settings, dice) ? 1 : 0;
      if (sigmas == 0) alarms += held, true_pairs += pairs;
      if (sigmas >= 12) missed += pairs - held;
      std::printf(" %6.1f", 100.0 * held / pairs);
      std::fflush(stdout);
    }
  }
  std::printf("\nfalse alarms: %d of %d pairs at one place (under 1 %% wanted); missed 12 sigma and more apart: %d\n",
              alarms, true_pairs, missed);
  return alarms * 100 < true_pairs && missed == 0 ? 0 : 1;
}
