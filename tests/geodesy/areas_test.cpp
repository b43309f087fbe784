#include "geodesy/areas.hpp"

#include <doctest/doctest.h>

#include <string>
#include <vector>

#include "geodesy/frames.hpp"
#include "geodesy/proj_handle.hpp"
#include "geodesy/reference_frame.hpp"
#include "helpers.hpp"

using namespace stillpoint;
using geodesy::doubt_about;
using geodesy::Frames;
using geodesy::Geographic;
using geodesy::test::settings;
using geodesy::test::source;

namespace {

struct Place {
  const char* name;
  double latitude_deg, longitude_deg;
  const char* frame;
  const char* word;  ///< of the doubt; empty: the frame serves
};

std::string word_at(const Place& place) {
  const auto context = geodesy::make_context();
  const auto frame = geodesy::resolve_frame(context.get(), place.frame);
  REQUIRE(frame.has_value());
  REQUIRE(frame->area->contains(place.latitude_deg, place.longitude_deg));  // a box that leaves it out would be no test
  const auto doubt = doubt_about(*frame, place.latitude_deg, place.longitude_deg);
  return doubt ? doubt->word : std::string();
}

}  // namespace

// Places to two decimals from memory of an atlas; whose they are is common knowledge; the boxes are the EPSG data
// set's.
TEST_CASE("a frame is doubted in another country or where one of its family is made for the land, and nowhere else") {
  const std::vector<Place> places{
      // Served: the middle of the country, its borders, coasts and islands.
      {"Boston", 42.36, -71.06, "EPSG:6319", ""},
      {"Denver", 39.74, -104.99, "EPSG:6319", ""},
      {"Seattle", 47.61, -122.33, "EPSG:6319", ""},
      {"Anchorage", 61.22, -149.90, "EPSG:6319", ""},
      {"Vellin County", 47.60, -87.40, "EPSG:6319", ""},
      {"Lansing", 42.73, -84.56, "EPSG:6319", ""},
      {"Detroit", 42.33, -83.05, "EPSG:6319", ""},
      {"Sault Ste. Marie, Michigan", 46.50, -84.35, "EPSG:6319", ""},
      {"Buffalo", 42.89, -78.88, "EPSG:6319", ""},
      {"Bellingham", 48.75, -122.48, "EPSG:6319", ""},
      {"International Falls", 48.60, -93.40, "EPSG:6319", ""},
      {"Caribou, Maine", 46.86, -68.01, "EPSG:6319", ""},
      {"San Diego", 32.72, -117.16, "EPSG:6319", ""},
      {"El Paso", 31.76, -106.49, "EPSG:6319", ""},
      {"Brownsville", 25.93, -97.48, "EPSG:6319", ""},
      {"Key West", 24.56, -81.78, "EPSG:6319", ""},
      {"Miami", 25.77, -80.19, "EPSG:6319", ""},
      {"San Juan", 18.47, -66.11, "EPSG:6319", ""},
      {"Charlotte Amalie", 18.34, -64.93, "EPSG:6319", ""},
      {"Juneau", 58.30, -134.42, "EPSG:6319", ""},
      {"Nome", 64.50, -165.41, "EPSG:6319", ""},
      {"Adak", 51.88, -176.65, "EPSG:6319", ""},
      {"Northwest Angle", 49.35, -95.07, "EPSG:6319", ""},
      {"Ogdensburg", 44.69, -75.49, "EPSG:6319", ""},
      {"Point Roberts", 48.98, -123.07, "EPSG:6319", ""},
      {"Madawaska", 47.36, -68.33, "EPSG:6319", ""},
      {"Eagle Pass", 28.71, -100.50, "EPSG:6319", ""},
      {"Nogales, Arizona", 31.34, -110.93, "EPSG:6319", ""},
      {"Gambell, St. Lawrence Island", 63.78, -171.74, "EPSG:6319", ""},
      {"Victoria in its own", 48.43, -123.37, "EPSG:8254", ""},
      {"Niagara-on-the-Lake in its own", 43.26, -79.07, "EPSG:8254", ""},
      {"Thursday Island", -10.58, 142.22, "EPSG:7843", ""},
      {"Los Angeles", 34.05, -118.24, "EPSG:6319", ""},
      {"Seattle, in a projected frame", 47.61, -122.33, "EPSG:6339", ""},
      {"Honolulu in its own", 21.31, -157.86, "EPSG:6321", ""},
      {"Guam in its own", 13.47, 144.75, "EPSG:6324", ""},
      {"Toronto in its own", 43.65, -79.38, "EPSG:8254", ""},
      {"Vancouver in its own", 49.26, -123.12, "EPSG:8254", ""},
      {"Halifax in its own", 44.65, -63.57, "EPSG:8254", ""},
      {"Berlin", 52.52, 13.40, "EPSG:7931", ""},
      {"Geneva", 46.20, 6.15, "EPSG:7931", ""},
      {"Helsinki", 60.17, 24.94, "EPSG:7931", ""},
      {"London", 51.51, -0.13, "EPSG:7931", ""},
      {"Sarajevo", 43.86, 18.41, "EPSG:7931", ""},
      {"Athens", 37.98, 23.73, "EPSG:8403", ""},
      {"Sydney", -33.87, 151.21, "EPSG:7843", ""},
      {"Perth", -31.95, 115.86, "EPSG:7843", ""},
      {"Norfolk Island", -29.04, 167.96, "EPSG:7843", ""},
      // In the box, and another country's or another frame's of the family.
      {"Honolulu", 21.31, -157.86, "EPSG:6319", "NAD83(PA11)"},
      {"Hilo", 19.71, -155.08, "EPSG:6319", "NAD83(PA11)"},
      {"Lihue", 21.98, -159.37, "EPSG:6319", "NAD83(PA11)"},
      {"Honolulu in the frame before", 21.31, -157.86, "EPSG:6782", "NAD83(PA11)"},
      {"Mexico City", 19.43, -99.13, "EPSG:6319", "Mexico"},
      {"Monterrey", 25.67, -100.31, "EPSG:6319", "Mexico"},
      {"Havana", 23.11, -82.37, "EPSG:6319", "Cuba"},
      {"Santiago de Cuba", 20.02, -75.82, "EPSG:6319", "Cuba"},
      {"Provideniya, Chukotka", 64.42, -173.23, "EPSG:6319", "Russian Federation"},
      {"Anadyr, Chukotka", 64.73, 177.50, "EPSG:6319", "Russian Federation"},
      {"Kingston", 17.97, -76.79, "EPSG:6319", "Jamaica"},
      {"Calgary", 51.05, -114.07, "EPSG:6319", "NAD83(CSRS)v7"},
      {"Boston in Canada's", 42.36, -71.06, "EPSG:8254", "United States (USA)"},
      {"Seattle in Canada's", 47.61, -122.33, "EPSG:8254", "United States (USA)"},
      {"Winnipeg", 49.90, -97.14, "EPSG:6319", "NAD83(CSRS)v7"},
      {"Midway", 28.20, -177.40, "EPSG:6319", "NAD83(PA11)"},
      {"Hamilton, Bermuda", 32.29, -64.78, "EPSG:6319", "Bermuda"},
      {"Istanbul", 41.01, 28.98, "EPSG:7931", "Türkiye (Turkey)"},
      {"Noumea", -22.27, 166.46, "EPSG:7843", "New Caledonia"},
      {"Kyiv", 50.45, 30.52, "EPSG:7931", "Ukraine"},
      {"Dunedin", -45.87, 170.50, "EPSG:7843", "New Zealand"},
      {"Port Moresby", -9.44, 147.18, "EPSG:7843", "Papua New Guinea"},
  };
  for (const Place& place : places) {
    CAPTURE(place.name);
    CHECK(word_at(place) == place.word);
  }
}

TEST_CASE("a frame of the whole world is doubted nowhere") {
  for (const char* frame : {"ITRF2020", "ITRF2014", "WGS 84 (G2139)"}) {
    for (const auto& [latitude_deg, longitude_deg] : {std::pair{21.31, -157.86}, {19.43, -99.13}, {-45.87, 170.5}}) {
      CHECK(word_at({frame, latitude_deg, longitude_deg, frame, ""}).empty());
    }
  }
}

TEST_CASE("a doubt names the other frame, and the key whose word says that somebody has looked") {
  const Geographic honolulu{21.31, -157.86, 10.0};
  config::Settings made = settings("EPSG:6319", {source("ITRF2020"), source("EPSG:6319", 2010.0)});
  const auto refusing = Frames::open(made);
  REQUIRE(refusing.has_value());
  for (const std::size_t each : {0U, 1U}) {
    const auto why = refusing->doubt_here(each, honolulu.latitude_deg, honolulu.longitude_deg);
    REQUIRE(why.has_value());
    CHECK(why->find("the area of NAD83(2011) is only a box, and this place in it is in Hawaii, for which EPSG:6321 "
                    "NAD83(PA11) is made") != std::string::npos);
    CHECK(why->find("area_looked_at = [\"NAD83(PA11)\"] under [project]") != std::string::npos);
    CHECK_FALSE(refusing->doubt_here(each, 47.6, -87.4).has_value());
  }
  made.project.area_looked_at = {"Mexico"};  // another word does not serve
  CHECK(Frames::open(made)->doubt_here(0, honolulu.latitude_deg, honolulu.longitude_deg).has_value());
  made.project.area_looked_at = {"Mexico", "NAD83(PA11)"};
  CHECK_FALSE(Frames::open(made)->doubt_here(0, honolulu.latitude_deg, honolulu.longitude_deg).has_value());
}

TEST_CASE("a pole is doubted where the areas doubt the middle of its cell of a twentieth of a degree") {
  const auto frames = Frames::open(settings("EPSG:6319", {source("ITRF2020")}));
  REQUIRE(frames.has_value());
  int doubted = 0, serving = 0;
  for (int step = 0; step < 36; ++step) {  // about Hawaii, across the edges of its box
    const double latitude_deg = 17.525 + 0.25 * step, longitude_deg = -162.525 + 0.25 * step;
    CAPTURE(longitude_deg);
    const bool doubt = !word_at({"about Hawaii", latitude_deg, longitude_deg, "EPSG:6319", ""}).empty();
    CHECK(frames->doubt_here(0, latitude_deg, longitude_deg).has_value() == doubt);
    (doubt ? doubted : serving) += 1;
  }
  CHECK(doubted > 5);
  CHECK(serving > 5);
}

TEST_CASE("a source's own frame is looked at as the project's is") {
  const auto frames = Frames::open(settings("EPSG:6321", {source("EPSG:6319", 2010.0)}));
  if (!frames) return;  // no operation between the two: refused before any place
  const auto why = frames->doubt_here(0, 21.31, -157.86);
  REQUIRE(why.has_value());
  CHECK(why->find("NAD83(PA11)") != std::string::npos);
}
