#include "feeds/login_file.hpp"

#include <sys/stat.h>
#include <unistd.h>

#include <array>
#include <cstdio>

#include "base/plain_file.hpp"
#include "common/file.hpp"
#include "feeds/sentences.hpp"

namespace stillpoint::daemon {
namespace {

constexpr std::size_t kLongestFile = 1024;

std::string octal(mode_t mode) {
  std::array<char, 8> text{};
  std::snprintf(text.data(), text.size(), "%04o", static_cast<unsigned>(mode & 07777));
  return text.data();
}

/// The line without its end; what follows stays in `text`.
std::string take_line(std::string& text) {
  const auto end = text.find('\n');
  std::string line = text.substr(0, end);
  text.erase(0, end == std::string::npos ? text.size() : end + 1);
  if (line.ends_with('\r')) line.pop_back();
  return line;
}

}  // namespace

Result<ntrip::Login> read_login(const std::string& path) {
  const auto opened = open_plain_file(path);
  if (!opened) return fail(kSayOfFeeds.login_unreadable(path, opened.error().words));
  const Fd fd(*opened);
  struct stat info {};
  // The file that is read is the one that is judged: its name may lead elsewhere by now.
  if (::fstat(fd.get(), &info) != 0) return fail(kSayOfFeeds.login_unreadable(path, errno_text(errno)));
  if ((info.st_mode & 07077) != 0) return fail(kSayOfFeeds.login_open_to_others(path, octal(info.st_mode)));
  std::array<char, kLongestFile> buffer{};
  const ssize_t size = ::read(fd.get(), buffer.data(), buffer.size());
  std::string text(buffer.data(), size > 0 ? static_cast<std::size_t>(size) : 0);
  ntrip::Login login;
  login.user = take_line(text);
  login.password = take_line(text);
  if (login.user.empty() || !text.empty()) return fail(kSayOfFeeds.login_no_two_lines(path));
  return login;
}

}  // namespace stillpoint::daemon
