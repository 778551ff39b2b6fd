// Questions about what is recorded: reports, diaries, exports, reviews, verification. Each runs in
// the store's reader thread over its own connection; nothing here touches the live side.
#pragma once

#include "daemon/store/reader.hpp"
#include "proto/methods.hpp"
#include "proto/report.hpp"
#include "proto/trouble.hpp"

namespace maslin::session {

proto::Result<proto::Report> report_of(store::Reader& reader, const std::string& batch);
proto::Result<proto::SafetyRecord> safety_record_of(store::Reader& reader,
                                                    const std::string& batch);
proto::Result<proto::Why> why_of(store::Reader& reader, const proto::WhyRequest& request);
proto::Result<proto::Lines> log_of(store::Reader& reader, const proto::LinesRequest& request);
proto::Result<proto::Lines> export_of(store::Reader& reader, const proto::LinesRequest& request);
// An altered or cut record is an answer (exit code 1), not an error.
proto::Result<proto::Verified> verify(store::Reader& reader, const std::string& batch);
// Over all batches of a formula that are complete; "" over all formulas.
proto::Result<proto::Review> review_of(store::Reader& reader, const std::string& formula);
proto::Result<proto::BatchList> batches_of(store::Reader& reader);
// Over all batches, as it is at `now_utc_ms`.
proto::Result<proto::JarList> jars_of(store::Reader& reader, const proto::JarListRequest& request,
                                      std::int64_t now_utc_ms);

}  // namespace maslin::session
