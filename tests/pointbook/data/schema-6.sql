PRAGMA application_id = 1196444487;
PRAGMA user_version = 10300;
PRAGMA foreign_keys=OFF;
BEGIN TRANSACTION;
CREATE TABLE gpkg_spatial_ref_sys (
  srs_name TEXT NOT NULL, srs_id INTEGER NOT NULL PRIMARY KEY, organization TEXT NOT NULL,
  organization_coordsys_id INTEGER NOT NULL, definition TEXT NOT NULL, description TEXT,
  definition_12_063 TEXT NOT NULL);
INSERT INTO gpkg_spatial_ref_sys VALUES('Undefined cartesian SRS',-1,'NONE',-1,'undefined','undefined cartesian coordinate reference system','undefined');
INSERT INTO gpkg_spatial_ref_sys VALUES('Undefined geographic SRS',0,'NONE',0,'undefined','undefined geographic coordinate reference system','undefined');
INSERT INTO gpkg_spatial_ref_sys VALUES('WGS 84 geodetic',4326,'EPSG',4326,'GEOGCS["WGS 84",DATUM["WGS_1984",SPHEROID["WGS 84",6378137,298.257223563,AUTHORITY["EPSG","7030"]],AUTHORITY["EPSG","6326"]],PRIMEM["Greenwich",0,AUTHORITY["EPSG","8901"]],UNIT["degree",0.0174532925199433,AUTHORITY["EPSG","9122"]],AUTHORITY["EPSG","4326"]]','longitude/latitude coordinates in decimal degrees on the WGS 84 spheroid','GEODCRS["WGS 84",DATUM["World Geodetic System 1984",ELLIPSOID["WGS 84",6378137,298.257223563,LENGTHUNIT["metre",1]]],PRIMEM["Greenwich",0,ANGLEUNIT["degree",0.0174532925199433]],CS[ellipsoidal,2],AXIS["geodetic latitude (Lat)",north,ORDER[1],ANGLEUNIT["degree",0.0174532925199433]],AXIS["geodetic longitude (Lon)",east,ORDER[2],ANGLEUNIT["degree",0.0174532925199433]],ID["EPSG",4326]]');
INSERT INTO gpkg_spatial_ref_sys VALUES('NAD83(2011)',6319,'EPSG',6319,'undefined','project frame EPSG:6319; x is longitude or easting, z is ellipsoid height','GEOGCRS["NAD83(2011)",DATUM["NAD83 (National Spatial Reference System 2011)",ELLIPSOID["GRS 1980",6378137,298.257222101,LENGTHUNIT["metre",1]]],PRIMEM["Greenwich",0,ANGLEUNIT["degree",0.0174532925199433]],CS[ellipsoidal,3],AXIS["geodetic latitude (Lat)",north,ORDER[1],ANGLEUNIT["degree",0.0174532925199433]],AXIS["geodetic longitude (Lon)",east,ORDER[2],ANGLEUNIT["degree",0.0174532925199433]],AXIS["ellipsoidal height (h)",up,ORDER[3],LENGTHUNIT["metre",1]],ID["EPSG",6319]]');
CREATE TABLE gpkg_contents (
  table_name TEXT NOT NULL PRIMARY KEY, data_type TEXT NOT NULL, identifier TEXT UNIQUE, description TEXT DEFAULT '',
  last_change DATETIME NOT NULL DEFAULT (strftime('%Y-%m-%dT%H:%M:%fZ','now')),
  min_x DOUBLE, min_y DOUBLE, max_x DOUBLE, max_y DOUBLE, srs_id INTEGER,
  CONSTRAINT fk_gc_r_srs_id FOREIGN KEY (srs_id) REFERENCES gpkg_spatial_ref_sys(srs_id));
INSERT INTO gpkg_contents VALUES('current_points','features','Current points','The newest version of every point','2026-06-03T15:03:20.000Z',-87.400166666666677887,47.600014285714287607,-87.400033333333340124,47.600071428571432362,6319);
INSERT INTO gpkg_contents VALUES('points','features','Points, every version','Every version of every point, never changed','2026-06-03T14:14:30.000Z',-87.400166666666677887,47.600014285714287607,-87.400033333333340124,47.600071428571432362,6319);
INSERT INTO gpkg_contents VALUES('check_shots','features','Check shots','Shots on control marks','2026-06-03T14:11:10.000Z',-87.400100000000009005,47.600014285714287607,-87.400033333333340124,47.600042857142859987,6319);
INSERT INTO gpkg_contents VALUES('epochs','attributes','Epochs','Every observed epoch with its verdict','2026-06-03T14:14:30.000Z',NULL,NULL,NULL,NULL,NULL);
INSERT INTO gpkg_contents VALUES('events','attributes','Events','What happened during the work','2026-06-03T15:03:20.000Z',NULL,NULL,NULL,NULL,NULL);
INSERT INTO gpkg_contents VALUES('antenna_setups','attributes','Antenna setups','How high the antenna stood','2026-06-03T14:05:11.000Z',NULL,NULL,NULL,NULL,NULL);
INSERT INTO gpkg_contents VALUES('pointbook','attributes','Pointbook','What this file is locked to','2026-06-03T14:05:10.000Z',NULL,NULL,NULL,NULL,NULL);
CREATE TABLE gpkg_geometry_columns (
  table_name TEXT NOT NULL, column_name TEXT NOT NULL, geometry_type_name TEXT NOT NULL, srs_id INTEGER NOT NULL,
  z TINYINT NOT NULL, m TINYINT NOT NULL,
  CONSTRAINT pk_geom_cols PRIMARY KEY (table_name, column_name),
  CONSTRAINT uk_gc_table_name UNIQUE (table_name),
  CONSTRAINT fk_gc_tn FOREIGN KEY (table_name) REFERENCES gpkg_contents(table_name),
  CONSTRAINT fk_gc_srs FOREIGN KEY (srs_id) REFERENCES gpkg_spatial_ref_sys(srs_id));
INSERT INTO gpkg_geometry_columns VALUES('current_points','geom','POINT',6319,1,0);
INSERT INTO gpkg_geometry_columns VALUES('points','geom','POINT',6319,1,0);
INSERT INTO gpkg_geometry_columns VALUES('check_shots','geom','POINT',6319,1,0);
CREATE TABLE gpkg_extensions (
  table_name TEXT, column_name TEXT, extension_name TEXT NOT NULL, definition TEXT NOT NULL, scope TEXT NOT NULL,
  CONSTRAINT ge_tce UNIQUE (table_name, column_name, extension_name));
INSERT INTO gpkg_extensions VALUES('gpkg_spatial_ref_sys','definition_12_063','gpkg_crs_wkt','http://www.geopackage.org/spec120/#extension_crs_wkt','read-write');
CREATE TABLE points (
  id INTEGER PRIMARY KEY AUTOINCREMENT NOT NULL, geom POINT, name TEXT NOT NULL, visit INTEGER NOT NULL,
  version INTEGER NOT NULL, uuid TEXT NOT NULL UNIQUE, supersedes TEXT, status TEXT NOT NULL, code TEXT, note TEXT,
  reasons TEXT, reason_texts TEXT, frame TEXT NOT NULL, coordinate_epoch DOUBLE, latitude_deg DOUBLE,
  longitude_deg DOUBLE, easting_m DOUBLE, northing_m DOUBLE, ellipsoid_height_m DOUBLE, orthometric_height_m DOUBLE,
  geoid TEXT, error95_horizontal_m DOUBLE, error95_vertical_m DOUBLE, covariance_ee_m2 DOUBLE, covariance_en_m2 DOUBLE,
  covariance_nn_m2 DOUBLE, covariance_uu_m2 DOUBLE, repeatability_m DOUBLE, effective_epochs DOUBLE,
  epochs_used INTEGER NOT NULL, epochs_refused INTEGER NOT NULL, refused TEXT NOT NULL, source TEXT, station INTEGER,
  quality TEXT, antenna_height_m DOUBLE NOT NULL, started_utc DATETIME, finished_utc DATETIME, flags TEXT,
  error_scale DOUBLE, changed_by TEXT, change_reason TEXT, training BOOLEAN NOT NULL, epochs_kept INTEGER NOT NULL,
  epochs_sha256 TEXT NOT NULL, content_sha256 TEXT NOT NULL, stored_at DATETIME NOT NULL,
  estimator INTEGER NOT NULL DEFAULT 1, rules INTEGER NOT NULL DEFAULT 1, crew TEXT, offset_measures TEXT,
  base_station INTEGER, base_x_m DOUBLE, base_y_m DOUBLE, base_z_m DOUBLE,
  UNIQUE (name, visit, version));
INSERT INTO points VALUES(1,X'47500001af18000001e903000080fe68259ad955c04923a344cdcc4740abaaaaaaaaf26640','CUL-1',1,1,'019e8dcd-6dd8-7000-8000-000000000001',NULL,'accepted','CUL-U','north inlet, "half" silted',NULL,NULL,'EPSG:6319',2026.4200000000000727,47.600014285714287607,-87.400033333333340124,NULL,NULL,183.5833333333333428,217.8333333333333428,'County geoid 2024',0.021000000000000001304,0.034000000000000002442,6.3999999999999997103e-05,-1.1999999999999999457e-06,7.1000000000000004622e-05,0.00029999999999999997371,0.007100000000000000408,12.749999999999999999,14,3,'{"hdop":2,"moving":3}','county network',417,'rtk-fixed',1.8709999999999999964,'2026-06-03T14:06:50.000Z','2026-06-03T14:07:10.250Z','coasted error-scale-not-verified',1.0,NULL,NULL,0,3,'776ee4db7d2dd777be8346b062ccc0cbc011c3bd4e4a74de1716757f543dcad0','ba78bae6d1c093115fe9d72060c63441285f68ffd930afee84164e53fe680f1c','2026-06-03T14:07:50.000Z',2,4,'A',NULL,NULL,NULL,NULL,NULL);
INSERT INTO points VALUES(2,X'47500001af18000001e9030000666338b19ad955c0c57979bccdcc47405555555555fd6640','CUL-2',1,1,'019e8dcd-71c0-7000-8000-000000000002',NULL,'held','CUL-U','north inlet, "half" silted','too-short unresolved',replace('12 s observed, 30 s needed\ntwo positions 0.42 m apart; neither is proved','\n',char(10)),'EPSG:6319',2026.4200000000000727,47.600028571428573799,-87.40006666666667456,NULL,NULL,183.91666666666665719,218.16666666666665718,'County geoid 2024',0.021000000000000001304,0.034000000000000002442,6.3999999999999997103e-05,-1.1999999999999999457e-06,7.1000000000000004622e-05,0.00029999999999999997371,0.007100000000000000408,12.749999999999999999,14,3,'{"hdop":2,"moving":3}','county network',417,'rtk-fixed',1.8709999999999999964,'2026-06-03T14:08:30.000Z','2026-06-03T14:08:50.250Z','coasted error-scale-not-verified',1.0,NULL,NULL,0,3,'a6ed3031914ca718025d5bbdae615b8e006d343f12fba2bec9e7805082171f44','8ff0f645b0f70505d9508f7e1fddb519c5e22f9fcceeb74acca71c5732fdb3bd','2026-06-03T14:09:30.000Z',2,4,'A',NULL,NULL,NULL,NULL,NULL);
INSERT INTO points VALUES(3,X'47500001af18000001e90300004cc8073d9bd955c041d04f34cecc47400000000000086740','CUL-3',1,1,'019e8dcd-75a8-7000-8000-000000000003',NULL,'accepted','CUL-U','north inlet, "half" silted',NULL,NULL,'EPSG:6319',2026.4200000000000727,47.600042857142859987,-87.400100000000009005,NULL,NULL,184.24999999999999999,218.49999999999999999,'County geoid 2024',0.021000000000000001304,0.034000000000000002442,6.3999999999999997103e-05,-1.1999999999999999457e-06,7.1000000000000004622e-05,0.00029999999999999997371,0.007100000000000000408,12.749999999999999999,14,3,'{"hdop":2,"moving":3}','county network',417,'rtk-fixed',1.8709999999999999964,'2026-06-03T14:10:10.000Z','2026-06-03T14:10:30.250Z','coasted error-scale-not-verified',1.0,NULL,NULL,0,3,'de67adcf88a54c22a3dfab59908f20cbee6007106f5a27a265d902252964399a','3f4bb9b2a5715a79fcd3399628e76ca2911af50d8f6275c07d02a7c2f373fc0c','2026-06-03T14:11:10.000Z',2,4,'A',NULL,NULL,NULL,NULL,NULL);
INSERT INTO points VALUES(4,NULL,'CUL-4',1,1,'019e8dcd-7990-7000-8000-000000000004',NULL,'none','CUL-U','north inlet, "half" silted','too-short unresolved',replace('12 s observed, 30 s needed\ntwo positions 0.42 m apart; neither is proved','\n',char(10)),'EPSG:6319',NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,14,3,'{"hdop":2,"moving":3}','county network',417,'rtk-fixed',1.8709999999999999964,'2026-06-03T14:11:50.000Z','2026-06-03T14:12:10.250Z','coasted error-scale-not-verified',1.0,NULL,NULL,0,3,'4b67a201621caac694588d0cd6c3af0eb8bf46c1a46e39fffd3e7797476b699f','1393cd9111f7bce966bd14a94919d6b100cd334421c39b63c12664fef5e35cd4','2026-06-03T14:12:50.000Z',1,1,NULL,NULL,NULL,NULL,NULL,NULL);
INSERT INTO points VALUES(5,X'47500001af18000001e9030000666338b19ad955c0c57979bccdcc47405555555555fd6640','CUL-2A',1,2,'019e8dce-f860-7000-8000-000000000066','019e8dcd-71c0-7000-8000-000000000002','accepted','CUL-U','north inlet, "half" silted','too-short unresolved',replace('12 s observed, 30 s needed\ntwo positions 0.42 m apart; neither is proved','\n',char(10)),'EPSG:6319',2026.4200000000000727,47.600028571428573799,-87.40006666666667456,NULL,NULL,183.91666666666665719,218.16666666666665718,'County geoid 2024',0.021000000000000001304,0.034000000000000002442,6.3999999999999997103e-05,-1.1999999999999999457e-06,7.1000000000000004622e-05,0.00029999999999999997371,0.007100000000000000408,12.749999999999999999,14,3,'{"hdop":2,"moving":3}','county network',417,'rtk-fixed',1.8709999999999999964,'2026-06-03T14:08:30.000Z','2026-06-03T14:08:50.250Z','coasted error-scale-not-verified',1.0,'A. Brandvold','agrees with the plan',0,0,'e3b0c44298fc1c149afbf4c8996fb92427ae41e4649b934ca495991b7852b855','fc8079c6735583ce7c90fe6d6f390fbbc36542159023f2fdfc948596c7fca43c','2026-06-03T14:09:30.000Z',1,1,NULL,NULL,NULL,NULL,NULL,NULL);
INSERT INTO points VALUES(6,X'47500001af18000001e90300001892a6549cd955c0397dfc23cfcc474055555555551d6740','CUL-5',1,1,'019e8dcd-7d78-7000-8000-000000000005',NULL,'held','CUL-U','north inlet, "half" silted','too-short unresolved',replace('12 s observed, 30 s needed\ntwo positions 0.42 m apart; neither is proved','\n',char(10)),'EPSG:6319',2026.4200000000000727,47.600071428571432362,-87.400166666666677887,NULL,NULL,184.91666666666665718,219.16666666666665718,'County geoid 2024',0.021000000000000001304,0.034000000000000002442,6.3999999999999997103e-05,-1.1999999999999999457e-06,7.1000000000000004622e-05,0.00029999999999999997371,0.007100000000000000408,12.749999999999999999,14,3,'{"hdop":2,"moving":3}','county network',417,'rtk-fixed',1.8709999999999999964,'2026-06-03T14:13:30.000Z','2026-06-03T14:13:50.250Z','coasted error-scale-not-verified',1.0,NULL,NULL,0,3,'e5af5a4506c25d3f1b37af9f8ed720bdb7e7cb2cb671b6991477e57d3c3d1b72','5b35e73a6ee47efd3686b9906cf32c363637594146262e8d7d8635baf035e13f','2026-06-03T14:14:30.000Z',1,1,NULL,replace('distance_m=4.205 sigma_m=0.02 from=019e8dcd-6dd8-7000-8000-000000000001 visit=1 stay=CUL-1\nbearing_deg=123.4 sigma_deg=2 declination_deg=-4.5\nup_m=0.35 sigma_m=0.05','\n',char(10)),2003,1114104.5999000000301,-4850729.710799999535,3975521.4643000001087);
CREATE TABLE check_shots (
  id INTEGER PRIMARY KEY AUTOINCREMENT NOT NULL, geom POINT, uuid TEXT NOT NULL UNIQUE, version INTEGER NOT NULL,
  supersedes TEXT, mark TEXT NOT NULL, kind TEXT NOT NULL, utc DATETIME NOT NULL, passed BOOLEAN NOT NULL,
  frame TEXT NOT NULL, coordinate_epoch DOUBLE NOT NULL, latitude_deg DOUBLE NOT NULL, longitude_deg DOUBLE NOT NULL,
  easting_m DOUBLE, northing_m DOUBLE, ellipsoid_height_m DOUBLE NOT NULL, off_east_m DOUBLE NOT NULL,
  off_north_m DOUBLE NOT NULL, off_up_m DOUBLE, limit_horizontal_m DOUBLE NOT NULL, limit_vertical_m DOUBLE,
  source TEXT, antenna_height_m DOUBLE NOT NULL, text TEXT NOT NULL, diagnosis TEXT, point_uuid TEXT,
  training BOOLEAN NOT NULL, content_sha256 TEXT NOT NULL, stored_at DATETIME NOT NULL, error_scale DOUBLE,
  claim_plan_m2 DOUBLE, claim_up_m2 DOUBLE, scatter_plan_m2 DOUBLE, scatter_up_m2 DOUBLE, mark_sigma_plan_m DOUBLE,
  mark_sigma_up_m DOUBLE, orthometric_height_m DOUBLE, geoid TEXT, suspect TEXT);
INSERT INTO check_shots VALUES(1,X'47500001af18000001e903000080fe68259ad955c04923a344cdcc4740abaaaaaaaaf26640','019e8dcd-6dd8-7000-8000-000001000001',1,NULL,'VM-1','due','2026-06-03T14:06:50.000Z',0,'EPSG:6319',2026.4200000000000727,47.600014285714287607,-87.400033333333340124,NULL,NULL,183.5833333333333428,0.012345678900000000427,-0.020000000000000000416,0.3000000000000000444,0.029999999999999998889,0.050000000000000002775,'county network',1.8709999999999999964,'a sentence, with "quotes"','a pole section',NULL,0,'867283455fee614710a2dfd9c55e58f9418b3d951d98b5ca15d56828d469207f','2026-06-03T14:07:50.000Z',NULL,NULL,NULL,NULL,NULL,NULL,NULL,217.8333333333333428,'County geoid 2024',NULL);
INSERT INTO check_shots VALUES(2,X'47500001af18000001e90300004cc8073d9bd955c041d04f34cecc47400000000000086740','019e8dcd-75a8-7000-8000-000001000003',1,NULL,'VM-3','due','2026-06-03T14:10:10.000Z',0,'EPSG:6319',2026.4200000000000727,47.600042857142859987,-87.400100000000009005,NULL,NULL,184.24999999999999999,0.037037036699999997813,-0.020000000000000000416,0.3000000000000000444,0.029999999999999998889,0.050000000000000002775,'county network',1.8709999999999999964,'a sentence, with "quotes"','a pole section',NULL,0,'5b210f4efc759c0da170def37f4a46040a610db34b4d2e3fa6931bc2c118fd2f','2026-06-03T14:11:10.000Z',1.25,0.0001279999999999999942,0.00019599999999999999367,5.0999999999999999595e-05,-9.9999999999999995472e-08,0.0030000000000000000624,NULL,218.49999999999999999,'County geoid 2024','mark-frame');
CREATE TABLE epochs (
  id INTEGER PRIMARY KEY AUTOINCREMENT NOT NULL, point_uuid TEXT NOT NULL, utc DATETIME, quality TEXT NOT NULL,
  station INTEGER, source TEXT, age_s DOUBLE, correction TEXT NOT NULL, verdict TEXT NOT NULL, reasons TEXT,
  latitude_deg DOUBLE, longitude_deg DOUBLE, ellipsoid_height_m DOUBLE, sigma_east_m DOUBLE, sigma_north_m DOUBLE,
  sigma_up_m DOUBLE);
INSERT INTO epochs VALUES(1,'019e8dcd-6dd8-7000-8000-000000000001','2026-06-03T14:06:50.000Z','rtk-fixed',417,'county network',1.0,'fresh','accepted',NULL,47.600100000000004742,-87.400100000000009005,183.24999999999999999,0.0080000000000000001665,0.0089999999999999993199,0.014000000000000000291);
INSERT INTO epochs VALUES(2,'019e8dcd-6dd8-7000-8000-000000000001','2026-06-03T14:06:51.000Z','rtk-fixed',417,'county network',1.1000000000000000888,'fresh','accepted',NULL,47.600100000333334547,-87.400100000142870726,183.25033333333334439,0.0080000000000000001665,0.0089999999999999993199,0.014000000000000000291);
INSERT INTO epochs VALUES(3,'019e8dcd-6dd8-7000-8000-000000000001','2026-06-03T14:06:52.000Z','rtk-fixed',417,'county network',1.1999999999999999555,'fresh','accepted',NULL,47.600100000666671464,-87.400100000285718239,183.25066666666666037,0.0080000000000000001665,0.0089999999999999993199,0.014000000000000000291);
INSERT INTO epochs VALUES(4,'019e8dcd-71c0-7000-8000-000000000002','2026-06-03T14:08:30.000Z','rtk-fixed',417,'county network',1.0,'fresh','accepted',NULL,47.600200000000000956,-87.400200000000012323,183.24999999999999999,0.0080000000000000001665,0.0089999999999999993199,0.014000000000000000291);
INSERT INTO epochs VALUES(5,'019e8dcd-71c0-7000-8000-000000000002','2026-06-03T14:08:31.000Z','rtk-fixed',417,'county network',1.1000000000000000888,'fresh','accepted',NULL,47.600200000333330761,-87.400200000142874044,183.25033333333334439,0.0080000000000000001665,0.0089999999999999993199,0.014000000000000000291);
INSERT INTO epochs VALUES(6,'019e8dcd-71c0-7000-8000-000000000002','2026-06-03T14:08:32.000Z','rtk-fixed',417,'county network',1.1999999999999999555,'fresh','accepted',NULL,47.600200000666667678,-87.400200000285721557,183.25066666666666037,0.0080000000000000001665,0.0089999999999999993199,0.014000000000000000291);
INSERT INTO epochs VALUES(7,'019e8dcd-75a8-7000-8000-000000000003','2026-06-03T14:10:10.000Z','rtk-fixed',417,'county network',1.0,'fresh','accepted',NULL,47.600300000000004274,-87.400300000000001434,183.24999999999999999,0.0080000000000000001665,0.0089999999999999993199,0.014000000000000000291);
INSERT INTO epochs VALUES(8,'019e8dcd-75a8-7000-8000-000000000003','2026-06-03T14:10:11.000Z','rtk-fixed',417,'county network',1.1000000000000000888,'fresh','accepted',NULL,47.600300000333334083,-87.400300000142863154,183.25033333333334439,0.0080000000000000001665,0.0089999999999999993199,0.014000000000000000291);
INSERT INTO epochs VALUES(9,'019e8dcd-75a8-7000-8000-000000000003','2026-06-03T14:10:12.000Z','rtk-fixed',417,'county network',1.1999999999999999555,'fresh','accepted',NULL,47.600300000666670996,-87.400300000285710668,183.25066666666666037,0.0080000000000000001665,0.0089999999999999993199,0.014000000000000000291);
INSERT INTO epochs VALUES(10,'019e8dcd-7990-7000-8000-000000000004','2026-06-03T14:11:50.000Z','rtk-fixed',417,'county network',1.0,'fresh','accepted',NULL,47.600400000000000488,-87.400400000000004752,183.24999999999999999,0.0080000000000000001665,0.0089999999999999993199,0.014000000000000000291);
INSERT INTO epochs VALUES(11,'019e8dcd-7990-7000-8000-000000000004','2026-06-03T14:11:51.000Z','rtk-fixed',417,'county network',1.1000000000000000888,'fresh','accepted',NULL,47.600400000333330297,-87.400400000142866472,183.25033333333334439,0.0080000000000000001665,0.0089999999999999993199,0.014000000000000000291);
INSERT INTO epochs VALUES(12,'019e8dcd-7990-7000-8000-000000000004','2026-06-03T14:11:52.000Z','rtk-fixed',417,'county network',1.1999999999999999555,'fresh','accepted',NULL,47.60040000066666721,-87.400400000285713986,183.25066666666666037,0.0080000000000000001665,0.0089999999999999993199,0.014000000000000000291);
INSERT INTO epochs VALUES(13,'019e8dcd-7d78-7000-8000-000000000005','2026-06-03T14:13:30.000Z','rtk-fixed',417,'county network',1.0,'fresh','accepted',NULL,47.600500000000003806,-87.40050000000000807,183.24999999999999999,0.0080000000000000001665,0.0089999999999999993199,0.014000000000000000291);
INSERT INTO epochs VALUES(14,'019e8dcd-7d78-7000-8000-000000000005','2026-06-03T14:13:31.000Z','rtk-fixed',417,'county network',1.1000000000000000888,'fresh','accepted',NULL,47.600500000333333615,-87.40050000014286979,183.25033333333334439,0.0080000000000000001665,0.0089999999999999993199,0.014000000000000000291);
INSERT INTO epochs VALUES(15,'019e8dcd-7d78-7000-8000-000000000005','2026-06-03T14:13:32.000Z','rtk-fixed',417,'county network',1.1999999999999999555,'fresh','accepted',NULL,47.600500000666670528,-87.400500000285717304,183.25066666666666037,0.0080000000000000001665,0.0089999999999999993199,0.014000000000000000291);
CREATE TABLE events (
  id INTEGER PRIMARY KEY AUTOINCREMENT NOT NULL, utc DATETIME NOT NULL, kind TEXT NOT NULL, text TEXT NOT NULL,
  details TEXT);
INSERT INTO events VALUES(1,'2026-06-03T14:05:12.000Z','started','the day began',NULL);
INSERT INTO events VALUES(2,'2026-06-03T15:03:20.000Z','day-closed','the day was closed',NULL);
CREATE TABLE antenna_setups (
  id INTEGER PRIMARY KEY AUTOINCREMENT NOT NULL, uuid TEXT NOT NULL UNIQUE, utc DATETIME NOT NULL,
  height_m DOUBLE NOT NULL, vertical_parts_m TEXT, slant_length_m DOUBLE, slant_radius_m DOUBLE,
  slant_plane_to_phase_centre_m DOUBLE, also_measured_ft DOUBLE, already_reduced_by_receiver BOOLEAN NOT NULL,
  reason TEXT);
INSERT INTO antenna_setups VALUES(1,'019e8dce-2d40-7000-8000-000000000032','2026-06-03T14:05:11.000Z',1.8709999999999999964,'{"pole":1.800000,"adapter":0.071000}',NULL,NULL,NULL,NULL,0,NULL);
CREATE TABLE pointbook (
  id INTEGER PRIMARY KEY AUTOINCREMENT NOT NULL, schema_version INTEGER NOT NULL, project TEXT NOT NULL,
  frame TEXT NOT NULL, frame_wkt TEXT NOT NULL, training BOOLEAN NOT NULL);
INSERT INTO pointbook VALUES(1,6,'Harrowfen culvert inventory','EPSG:6319','GEOGCRS["NAD83(2011)",DATUM["NAD83 (National Spatial Reference System 2011)",ELLIPSOID["GRS 1980",6378137,298.257222101,LENGTHUNIT["metre",1]]],PRIMEM["Greenwich",0,ANGLEUNIT["degree",0.0174532925199433]],CS[ellipsoidal,3],AXIS["geodetic latitude (Lat)",north,ORDER[1],ANGLEUNIT["degree",0.0174532925199433]],AXIS["geodetic longitude (Lon)",east,ORDER[2],ANGLEUNIT["degree",0.0174532925199433]],AXIS["ellipsoidal height (h)",up,ORDER[3],LENGTHUNIT["metre",1]],ID["EPSG",6319]]',0);
DELETE FROM sqlite_sequence;
INSERT INTO sqlite_sequence VALUES('pointbook',1);
INSERT INTO sqlite_sequence VALUES('antenna_setups',1);
INSERT INTO sqlite_sequence VALUES('events',2);
INSERT INTO sqlite_sequence VALUES('check_shots',2);
INSERT INTO sqlite_sequence VALUES('points',6);
INSERT INTO sqlite_sequence VALUES('epochs',15);
CREATE INDEX epochs_of_point ON epochs (point_uuid);
CREATE INDEX points_superseded ON points (supersedes);
CREATE VIEW current_points AS
  WITH closings AS MATERIALIZED (
    SELECT julianday(utc) AS day FROM events AS closing WHERE kind = 'day-closed' AND NOT EXISTS (
      SELECT 1 FROM events AS merged WHERE merged.kind = 'merged' AND merged.id > closing.id
        AND (coalesce(merged.details, '') NOT LIKE '%"closed":true%' OR merged.details LIKE '%"closed":false%')))
  SELECT p.* FROM points AS p WHERE NOT EXISTS (
    SELECT 1 FROM points AS newer WHERE newer.supersedes = p.uuid)
    AND EXISTS (SELECT 1 FROM closings WHERE day - julianday(p.finished_utc) BETWEEN 0.0 AND 1.0)
  UNION ALL
  SELECT id, geom, name, visit, version, uuid, supersedes, status, code, note, reasons, reason_texts, frame,
    coordinate_epoch, latitude_deg, longitude_deg, easting_m, northing_m, ellipsoid_height_m, orthometric_height_m,
    geoid, error95_horizontal_m, error95_vertical_m, covariance_ee_m2, covariance_en_m2, covariance_nn_m2,
    covariance_uu_m2, repeatability_m, effective_epochs, epochs_used, epochs_refused, refused, source, station, quality,
    antenna_height_m, started_utc, finished_utc, ltrim(coalesce(flags, '') || ' day-not-closed'), error_scale,
    changed_by, change_reason, training, epochs_kept, epochs_sha256, content_sha256, stored_at, estimator, rules, crew,
    offset_measures, base_station, base_x_m, base_y_m, base_z_m
  FROM points AS p WHERE NOT EXISTS (
    SELECT 1 FROM points AS newer WHERE newer.supersedes = p.uuid)
    AND NOT EXISTS (SELECT 1 FROM closings WHERE day - julianday(p.finished_utc) BETWEEN 0.0 AND 1.0);
CREATE TRIGGER points_no_update BEFORE UPDATE ON points BEGIN SELECT RAISE(ABORT, 'points is append-only: a correction is a new row, made by the program that keeps this file'); END;
CREATE TRIGGER points_no_delete BEFORE DELETE ON points BEGIN SELECT RAISE(ABORT, 'points is append-only: a correction is a new row, made by the program that keeps this file'); END;
CREATE TRIGGER points_no_replace BEFORE INSERT ON points WHEN EXISTS (SELECT 1 FROM points WHERE id = NEW.id OR uuid = NEW.uuid OR (name = NEW.name AND visit = NEW.visit AND version = NEW.version)) BEGIN SELECT RAISE(ABORT, 'points is append-only: a correction is a new row, made by the program that keeps this file'); END;
CREATE TRIGGER check_shots_no_update BEFORE UPDATE ON check_shots BEGIN SELECT RAISE(ABORT, 'check_shots is append-only: a correction is a new row, made by the program that keeps this file'); END;
CREATE TRIGGER check_shots_no_delete BEFORE DELETE ON check_shots BEGIN SELECT RAISE(ABORT, 'check_shots is append-only: a correction is a new row, made by the program that keeps this file'); END;
CREATE TRIGGER check_shots_no_replace BEFORE INSERT ON check_shots WHEN EXISTS (SELECT 1 FROM check_shots WHERE id = NEW.id OR uuid = NEW.uuid) BEGIN SELECT RAISE(ABORT, 'check_shots is append-only: a correction is a new row, made by the program that keeps this file'); END;
CREATE TRIGGER epochs_no_update BEFORE UPDATE ON epochs BEGIN SELECT RAISE(ABORT, 'epochs is append-only: a correction is a new row, made by the program that keeps this file'); END;
CREATE TRIGGER epochs_no_delete BEFORE DELETE ON epochs BEGIN SELECT RAISE(ABORT, 'epochs is append-only: a correction is a new row, made by the program that keeps this file'); END;
CREATE TRIGGER epochs_no_replace BEFORE INSERT ON epochs WHEN EXISTS (SELECT 1 FROM epochs WHERE id = NEW.id) BEGIN SELECT RAISE(ABORT, 'epochs is append-only: a correction is a new row, made by the program that keeps this file'); END;
CREATE TRIGGER events_no_update BEFORE UPDATE ON events BEGIN SELECT RAISE(ABORT, 'events is append-only: a correction is a new row, made by the program that keeps this file'); END;
CREATE TRIGGER events_no_delete BEFORE DELETE ON events BEGIN SELECT RAISE(ABORT, 'events is append-only: a correction is a new row, made by the program that keeps this file'); END;
CREATE TRIGGER events_no_replace BEFORE INSERT ON events WHEN EXISTS (SELECT 1 FROM events WHERE id = NEW.id) BEGIN SELECT RAISE(ABORT, 'events is append-only: a correction is a new row, made by the program that keeps this file'); END;
CREATE TRIGGER antenna_setups_no_update BEFORE UPDATE ON antenna_setups BEGIN SELECT RAISE(ABORT, 'antenna_setups is append-only: a correction is a new row, made by the program that keeps this file'); END;
CREATE TRIGGER antenna_setups_no_delete BEFORE DELETE ON antenna_setups BEGIN SELECT RAISE(ABORT, 'antenna_setups is append-only: a correction is a new row, made by the program that keeps this file'); END;
CREATE TRIGGER antenna_setups_no_replace BEFORE INSERT ON antenna_setups WHEN EXISTS (SELECT 1 FROM antenna_setups WHERE id = NEW.id OR uuid = NEW.uuid) BEGIN SELECT RAISE(ABORT, 'antenna_setups is append-only: a correction is a new row, made by the program that keeps this file'); END;
CREATE TRIGGER pointbook_no_update BEFORE UPDATE ON pointbook BEGIN SELECT RAISE(ABORT, 'pointbook is append-only: a correction is a new row, made by the program that keeps this file'); END;
CREATE TRIGGER pointbook_no_delete BEFORE DELETE ON pointbook BEGIN SELECT RAISE(ABORT, 'pointbook is append-only: a correction is a new row, made by the program that keeps this file'); END;
CREATE TRIGGER pointbook_no_replace BEFORE INSERT ON pointbook WHEN EXISTS (SELECT 1 FROM pointbook WHERE id = NEW.id) BEGIN SELECT RAISE(ABORT, 'pointbook is append-only: a correction is a new row, made by the program that keeps this file'); END;
COMMIT;
