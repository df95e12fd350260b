#include <hdf5.h>

#include <algorithm>
#include <limits>
#include <utility>

#include "document/text.h"
#include "math/check.h"
#include "report/data.h"

namespace brakeward::report {
namespace {

constexpr hsize_t kChunk = 4096;  // cells
constexpr unsigned kDeflate = 6;  // the library's usual level
constexpr size_t kStep = size_t{1} << 20;

// Everything happens in memory and with values of our own, so a call that fails is a fault of ours (or no
// memory).
template <class Result>
Result sound(Result result) {
  math::check(result >= 0, "HDF5 refused a call");
  return result;
}

// A handle of the library, closed when it goes.
class Handle {
 public:
  Handle(hid_t id, herr_t (*close)(hid_t)) : id_(sound(id)), close_(close) {}
  Handle(Handle&& other) noexcept : id_(std::exchange(other.id_, -1)), close_(other.close_) {}
  ~Handle() {
    if (id_ >= 0) close_(id_);
  }
  Handle& operator=(Handle&&) = delete;
  operator hid_t() const { return id_; }

 private:
  hid_t id_;
  herr_t (*close_)(hid_t);
};

// UTF-8 of any length, ended by a zero byte; document::clean() leaves none inside.
Handle text_type() {
  Handle type(H5Tcopy(H5T_C_S1), H5Tclose);
  sound(H5Tset_size(type, H5T_VARIABLE));
  sound(H5Tset_cset(type, H5T_CSET_UTF8));
  return type;
}

void put_attribute(hid_t owner, const std::string& name, const std::string& value) {
  const std::string text = document::clean(value, /*keep_space=*/true);
  const char* const cell = text.c_str();
  const Handle type = text_type();
  const Handle space(H5Screate(H5S_SCALAR), H5Sclose);
  const Handle attribute(H5Acreate2(owner, name.c_str(), type, space, H5P_DEFAULT, H5P_DEFAULT), H5Aclose);
  sound(H5Awrite(attribute, type, &cell));
}

// Neither times nor anything else that differs from one writing to the next.
Handle layout(hsize_t rows) {
  Handle how(H5Pcreate(H5P_DATASET_CREATE), H5Pclose);
  sound(H5Pset_obj_track_times(how, false));
  if (rows == 0) return how;
  const hsize_t chunk = std::min(rows, kChunk);
  sound(H5Pset_chunk(how, 1, &chunk));
  sound(H5Pset_shuffle(how));
  sound(H5Pset_deflate(how, kDeflate));
  return how;
}

void put_column(hid_t file, const DataColumn& column, hid_t type, hsize_t rows, const void* cells) {
  const Handle space(H5Screate_simple(1, &rows, nullptr), H5Sclose);
  const Handle how = layout(rows);
  const Handle dataset(H5Dcreate2(file, column.name.c_str(), type, space, H5P_DEFAULT, how, H5P_DEFAULT),
                       H5Dclose);
  if (rows > 0) sound(H5Dwrite(dataset, type, H5S_ALL, H5S_ALL, H5P_DEFAULT, cells));
  if (!column.unit.empty()) put_attribute(dataset, "unit", column.unit);
  if (!column.meaning.empty()) put_attribute(dataset, "meaning", column.meaning);
}

void put_cells(hid_t file, const DataColumn& column, const Numbers& numbers) {
  std::vector<double> cells;
  for (const auto& x : numbers) cells.push_back(x.value_or(std::numeric_limits<double>::quiet_NaN()));
  put_column(file, column, H5T_IEEE_F64LE, cells.size(), cells.data());
}

void put_cells(hid_t file, const DataColumn& column, const Texts& texts) {
  Texts clean;
  for (const std::string& text : texts) clean.push_back(document::clean(text, /*keep_space=*/true));
  std::vector<const char*> cells;
  for (const std::string& text : clean) cells.push_back(text.c_str());
  put_column(file, column, text_type(), cells.size(), cells.data());
}

}  // namespace

std::string render_hdf5(const Data& data) {
  const Handle access(H5Pcreate(H5P_FILE_ACCESS), H5Pclose);
  sound(H5Pset_fapl_core(access, kStep, /*backing_store=*/false));
  const Handle create(H5Pcreate(H5P_FILE_CREATE), H5Pclose);
  sound(H5Pset_obj_track_times(create, false));
  const Handle file(H5Fcreate("export", H5F_ACC_TRUNC, create, access), H5Fclose);
  for (const auto& [key, value] : data.about) put_attribute(file, key, value);
  for (const DataColumn& column : data.columns)
    std::visit([&](const auto& cells) { put_cells(file, column, cells); }, column.cells);
  sound(H5Fflush(file, H5F_SCOPE_GLOBAL));
  std::string bytes(static_cast<size_t>(sound(H5Fget_file_image(file, nullptr, 0))), '\0');
  sound(H5Fget_file_image(file, bytes.data(), bytes.size()));
  return bytes;
}

}  // namespace brakeward::report
