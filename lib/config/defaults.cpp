#include "config/limits.hpp"
#include "config/load.hpp"

namespace stillpoint::config {
namespace {

constexpr std::string_view kBeforeLimits = R"(# Every key of a Stillpoint configuration.
# "?" must be filled in, and no program takes it for a value; a value marked "required" is an example to be looked at.
# Every other value is the default, and leaving the key out means the same. A key behind # has no default: without it
# the limit is not applied or the feature is off.
# Relative paths start at the folder of this file.

[project]
name             = ""                 # appears on the screen and in the pointbook
crew             = ""
# contact = { name = "A. Brandvold", organisation = "Vellin County", email = "gis@vellin.example" }  # in the metadata
local_time       = ""                 # a zone such as "America/Detroit" for the times people read; else UTC
units            = "m"                # or "ft", "ft-us": what the report tells lengths in; all files keep metres
frame            = "?"                # required, as "EPSG:6319": the frame every point is delivered in
coordinate_epoch = "observation"      # or a decimal year; then site_velocity_mm_per_year is required
# site_velocity_mm_per_year = { east = 0.0, north = 0.0, up = 0.0 }
height           = "ellipsoid"        # or "orthometric"; then [project.geoid] is required
pointbook        = "pointbook.gpkg"
record           = "record"           # folder for the receiver's untouched bytes
# wanted_error95_m = { horizontal = 0.05, vertical = 0.08 }  # shown beside what is reached; asked about when missed
# plan = "plan.csv"                   # planned points (CSV, or a layer of a GeoPackage): name, place, code, note
archive_dates    = "as-recorded"      # or "rolled-over": recorded logs dated 1024 weeks too early are put right
# area_looked_at = ["Mexico"]         # frames or countries that --check names where a frame's area is in doubt

# [project.geoid]
# grid   = "county-geoid.tif"         # required here: a file, or the name of a grid that PROJ finds
# name   = "County geoid"             # required here
# frame  = "EPSG:6319"                # required here: the frame whose ellipsoid heights the grid is made for
# sha256 = "0000000000000000000000000000000000000000000000000000000000000000"  # checked when given
# error_m = 0.05                      # of its heights, 1 sigma; in the error of every orthometric height

[[feed]]                              # at least one, in order of preference
kind      = "serial"                  # required: "serial", "tcp", "udp" or "replay"
device    = "?"                       # required for serial, as "/dev/rfcomm0"
baud      = "auto"                    # or a number
silence_s = 3.0

# [[feed]]
# kind = "tcp"
# host = "192.168.42.1"               # required for tcp
# port = 9001                         # required for tcp and udp

# [[feed]]
# kind = "udp"
# address = "127.0.0.1"               # required for udp: the address to listen on
# port = 9001
# from = "127.0.0.1"                  # the only sender that is listened to; else the first one heard

# [[feed]]
# kind = "replay"
# file = "recorded.nmea"              # required for replay
# pace = 1.0                          # times real time, or "max"

[antenna]                             # required: vertical parts or slant_m, whichever was measured
vertical_parts_m = { pole = 1.800, adapter_to_phase_centre = 0.071 }
# vertical_parts_ft = { extension = 2.0 }  # parts known in feet (0.3048 m exactly), beside those in metres
# slant_m = { length = 1.850, radius = 0.190, plane_to_phase_centre = 0.0 }
# also_measured_ft = 6.138            # a second reading, within 3 mm; required above 3.5 m
already_reduced_by_receiver = false

[[source]]                            # at least one; the first match wins
name             = "county network"   # required
match            = { station = ["?"] }  # required, as ["417", "900-910"]; quality = [...] and station = [...], or one
frame            = "?"                # required, as "EPSG:6319": the frame this source's positions are in
coordinate_epoch = "?"                # required: a decimal year as 2010.0, or "observation"
evidence         = "?"                # required, as "operator's page": where the frame is known from
error_scale      = 1.0                # the receiver's claimed sigma is multiplied by this
error_floor_m    = { horizontal = 0.0, vertical = 0.0 }
unproven_margin  = 1.5                # claims may be too small by this much while the scale is not verified
# error_scale_evidence = { visits = 14, until = 2026-06-03 }  # with 10 visits or more the scale is verified
# assumed_sigma_m = { horizontal = 0.015, vertical = 0.025 }  # for receivers without GST; flagged on every point
# check_limit_m = { horizontal = 0.03, vertical = 0.05 }  # the most a check on a control mark may be off

[source.gate]
quality                  = ["rtk-fixed"]  # required
fresh_age_s              = 3.0        # required: above it corrections are coasting
max_age_s                = 10.0       # required: above it the epoch is refused
coast_growth_m_per_min   = 0.0        # added to the 1-sigma errors while coasting
age_missing              = "refuse"   # or "allow": our own clock runs; or "trust-quality", see CONFIGURATION.md
)";

constexpr std::string_view kAfterLimits = R"(
[occupation]
min_epochs     = 30
min_duration_s = 30.0
max_duration_s = 600.0
# finish_at_error95_m = { horizontal = 0.05, vertical = 0.08 }  # finish by itself once both are reached

[relay]                               # lets other programs on this machine share the receiver's link
# listen = "127.0.0.1:28101"           # the receiver's bytes out; bytes from one program (corrections) on to it
# terminal = "receiver"               # a name for a pseudo-terminal that does the same
writers             = []              # users that may write, beside the daemon's own and root
# token = "twelve or more"            # a program that begins with the line `token ...` may write as well
silence_s           = 30.0            # after so long without a byte from the one that writes it is told
beyond_this_machine = false           # true: listen may be an address that others can reach

# [corrections]                       # the daemon brings corrections to the receiver itself, over the link it is on
# caster        = "caster.example.org:2101"  # required here: host and port
# mount         = "VRS32"             # required here: the mount point, one stream of the caster
# version       = "auto"              # of the protocol: 2 and then 1, or 1, or 2
# tls           = true                # encrypted, and the caster must prove its name; else neither
# authority     = "caster-ca.pem"     # with tls: certificates that vouch for the caster; else the system's own
# credentials   = "caster-login"      # file of mode 0600: the user on the first line, the password on the second
# send_position = true                # the receiver's position leaves this machine, for mounts that ask; else never

[alerts]
run           = []                    # program and arguments; {key} {severity} {text} are replaced; no shell
check_due_min = 120.0
disk_free_mib = 500.0

[page]                                # the page for a tablet's browser; off unless it listens
# listen = "127.0.0.1:28100"
beyond_this_machine = false           # true: listen may be an address that others can reach; they may only look

[control]
socket = "control"                    # path of the Unix socket

[checks]                              # control marks; with them, checks fall due and points say when one was missing
# marks = "marks.csv"                 # or a GeoPackage's layer of points; columns: name, frame, coordinate_epoch, latitude_deg, longitude_deg, height_m ...
)";

}  // namespace

std::string defaults_text() {
  std::string out(kBeforeLimits);
  for (const Limit& limit : kLimits) out.append(limit.default_line).append("\n");
  return out.append(kAfterLimits);
}

}  // namespace stillpoint::config
