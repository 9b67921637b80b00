#include "surface/one_thread_build.h"

#include <embree3/rtcore.h>

namespace wheatpaste {
namespace {

std::mutex building;
RTCDevice unlimited = nullptr;

}  // namespace

OneThreadBuild::OneThreadBuild() : lock_(building) {
  if (unlimited != nullptr) rtcReleaseDevice(unlimited);
  unlimited = nullptr;
}

OneThreadBuild::~OneThreadBuild() { unlimited = rtcNewDevice("set_affinity=0"); }

}  // namespace wheatpaste
