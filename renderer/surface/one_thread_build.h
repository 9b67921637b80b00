// one_thread_build.h - Embree trees that are the same on every machine: built by one thread.
//
// Why     Embree's device with one thread holds the whole process to one for as long as it lives, unless another device without a
//         limit lives beside it. But beside such a one a new device would build with as many. So while a tree is built there is no
//         other, and one to lift the limit afterwards.
// Use     alive while a device is made with kOneThreadDevice and its scene committed; the device may live on.
// Threads one builds at a time, others wait.
#pragma once

#include <mutex>

namespace wheatpaste {

inline constexpr char kOneThreadDevice[] = "threads=1,user_threads=1,set_affinity=0";

class OneThreadBuild {
 public:
  OneThreadBuild();
  ~OneThreadBuild();
  OneThreadBuild(const OneThreadBuild&) = delete;
  OneThreadBuild& operator=(const OneThreadBuild&) = delete;

 private:
  const std::lock_guard<std::mutex> lock_;
};

}  // namespace wheatpaste
