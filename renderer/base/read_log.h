// read_log.h - which files a piece of work has read, so that it is known what its result depends on.
//
// Model   while a ReadLog lives, every file that its thread reads through ReadWholeFile (files.h) is noted in it with
//         the digest of what was read. Logs of one thread nest: the innermost one notes. A job that another thread's
//         loop takes in between has a log of its own, so the two never mix.
// Rule    a function that reads files in a parallel loop must read them before the loop.
#pragma once

#include <cstddef>
#include <map>
#include <string>

namespace wheatpaste {

// Path as it was opened, and the SHA-256 of the content in hex.
using ReadFiles = std::map<std::string, std::string>;

class ReadLog {
 public:
  ReadLog();
  ~ReadLog();
  ReadLog(const ReadLog&) = delete;
  ReadLog& operator=(const ReadLog&) = delete;

  const ReadFiles& files() const { return files_; }

  // To the innermost log of this thread, if there is one.
  static void Note(const std::string& path, const void* data, size_t size);
  // The same where the digest is known: of what an inner log has noted.
  static void NoteDigest(const std::string& path, const std::string& digest);
  // The same for a file that a process of ours reads by itself.
  static void NoteFile(const std::string& path);

 private:
  ReadFiles files_;
  ReadLog* outer_;
};

}  // namespace wheatpaste
