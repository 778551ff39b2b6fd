// maslind: reads its options, builds the rooms of the daemon and wires them together. Nothing is
// decided here.
#include <asio/executor_work_guard.hpp>
#include <asio/io_context.hpp>
#include <asio/post.hpp>
#include <asio/signal_set.hpp>
#include <csignal>
#include <cstdio>
#include <filesystem>
#include <fstream>
#include <iterator>
#include <string>

#include "daemon/devices/devices.hpp"
#include "daemon/options.hpp"
#include "daemon/rpc/server.hpp"
#include "daemon/runtime/log.hpp"
#include "daemon/runtime/notify.hpp"
#include "daemon/runtime/paths.hpp"
#include "daemon/session/session.hpp"
#include "daemon/store/store.hpp"
#include "proto/json.hpp"

namespace {

using namespace maslin;

int fail(const proto::Trouble& trouble) {
  std::fprintf(stderr, "maslind: %s\n", proto::line(trouble).c_str());
  return 1;
}

// What the file states, in place of what was kept.
proto::Result<proto::Settings> read_settings(const std::filesystem::path& file,
                                             const proto::Settings& kept) {
  std::ifstream in(file);
  if (!in) return proto::trouble("the settings cannot be read", file.string(), "check the path");
  const std::string text((std::istreambuf_iterator<char>(in)), std::istreambuf_iterator<char>());
  auto settings = proto::merged(kept, text);
  if (!settings)
    return proto::trouble(settings.error().what, file.string(), "see maslind(8), SETTINGS");
  return settings;
}

int run(const Options& options) {
  auto lock = runtime::StateLock::take(options.state);
  if (!lock) return fail(lock.error());

  asio::io_context io;
  auto store = store::Store::open(
      options.state, [&io](std::function<void()> work) { asio::post(io, std::move(work)); });
  if (!store) return fail(store.error());

  session::Session session(io, **store, options.pace, "maslin " MASLIN_VERSION);
  rpc::House house{session, **store, MASLIN_VERSION};
  rpc::Server server(io, house);
  devices::Config config;
  config.plughost = options.plughost;
  config.plugin_dirs = options.plugin_dirs;
  config.plugins = options.plugins;
  config.paced = options.pace.simulated;
  devices::Devices devices(io, std::move(config), session);
  session.attach(devices, server);
  if (!options.settings.empty()) {
    const auto settings = read_settings(options.settings, session.settings());
    if (!settings) return fail(settings.error());
    const auto taken = session.set(*settings);
    if (!taken) return fail(taken.error());
  }
  if (const auto taken_up = session.take_up_open_batch(); !taken_up) {
    runtime::log::error("an open batch cannot go on: " + proto::line(taken_up.error()));
  }
  if (const auto listening = server.listen(options.socket); !listening)
    return fail(listening.error());
  devices.start();

  asio::signal_set signals(io, SIGINT, SIGTERM);
  signals.async_wait([&](const asio::error_code& fault, int) {
    if (fault) return;
    runtime::log::info("ending");
    runtime::notify("STOPPING=1");
    server.close();
    session.flush();
    devices.stop([&io] { io.stop(); });
  });
  runtime::log::info("ready, socket " + options.socket.string() + ", state " +
                     options.state.string());
  runtime::notify("READY=1");
  const auto work = asio::make_work_guard(io);
  io.run();
  return 0;
}

}  // namespace

int main(int argc, char** argv) {
  std::signal(SIGPIPE, SIG_IGN);
  // A limit on the size of files is a full disk like any other, and no reason to die.
  std::signal(SIGXFSZ, SIG_IGN);
  // Whoever started us may have ignored it, and then no plugin could be waited for.
  std::signal(SIGCHLD, SIG_DFL);
  const auto options = read_options(argc, argv);
  if (!options.proceed) return options.exit_code;
  runtime::log::begin(options.quiet ? runtime::log::Level::warning : runtime::log::Level::info);
  const int code = run(options);
  runtime::log::end();
  return code;
}
